/**
 * A Cholesky factor to which rows are appended: A = L Lᵀ with L kept as a skyline, the right side solved forwards as it grows.
 */
export class GrowingFactor {
  size = 0
  /** First column of each row, and where the row begins in `values`; the diagonal is its last entry. */
  private first = new Int32Array(1024)
  private begin = new Float64Array(1025)
  private values = new Float64Array(1 << 16)
  private right = new Float64Array(1024)
  private solved = new Float64Array(1024)

  /** @throws a defect when the matrix is not positive definite (a node without any outflow) */
  append(columns: readonly { readonly at: number; readonly value: number }[], diagonal: number, right: number): void {
    const row = this.size
    let first = row
    for (const { at } of columns) if (at < first) first = at
    const length = row - first + 1
    this.reserve(row, length)
    const base = this.begin[row]!
    const { values } = this
    values.fill(0, base, base + length)
    for (const { at, value } of columns) values[base + at - first]! += value
    this.eliminate(row, first)
    let sum = diagonal
    let y = right
    for (let j = first; j < row; j++) {
      const v = values[base + j - first]!
      sum -= v * v
      y -= v * this.right[j]!
    }
    if (!(sum > 0)) throw new Error('build: the filling matrix is not positive definite')
    const root = Math.sqrt(sum)
    values[base + row - first] = root
    this.right[row] = y / root
    this.first[row] = first
    this.begin[row + 1] = base + length
    this.size = row + 1
  }

  /**
   * Turns the couplings of a new row into its part of the factor. Four columns at a time: each is a sum that waits for its own
   * last term, and four that do not wait for each other take a third of the time. The order within a sum stays.
   */
  private eliminate(row: number, first: number): void {
    const { values, begin } = this
    const own = begin[row]! - first // the row's column j lies at own + j
    for (let j = first; j < row; j += 4) {
      const count = Math.min(4, row - j)
      let all = j // from here on all four rows have entries
      if (count === 4) {
        all = first
        for (let i = 0; i < 4; i++) if (this.first[j + i]! > all) all = this.first[j + i]!
        if (all > j) all = j
        for (let i = 0; i < 4; i++) values[own + j + i] = this.reduced(own, j + i, first, all)
        const row0 = begin[j]! - this.first[j]!
        const row1 = begin[j + 1]! - this.first[j + 1]!
        const row2 = begin[j + 2]! - this.first[j + 2]!
        const row3 = begin[j + 3]! - this.first[j + 3]!
        let v0 = values[own + j]!
        let v1 = values[own + j + 1]!
        let v2 = values[own + j + 2]!
        let v3 = values[own + j + 3]!
        for (let m = all; m < j; m++) {
          const v = values[own + m]!
          v0 -= v * values[row0 + m]!
          v1 -= v * values[row1 + m]!
          v2 -= v * values[row2 + m]!
          v3 -= v * values[row3 + m]!
        }
        values[own + j] = v0
        values[own + j + 1] = v1
        values[own + j + 2] = v2
        values[own + j + 3] = v3
      }
      for (let i = j; i < j + count; i++)
        values[own + i] = this.reduced(own, i, count === 4 ? j : first, i) / values[begin[i]! - this.first[i]! + i]!
    }
  }

  /** Column j of the row at `own`, less its products with row j over the columns `from` to before `to`. */
  private reduced(own: number, j: number, from: number, to: number): number {
    const { values } = this
    const row = this.begin[j]! - this.first[j]!
    let v = values[own + j]!
    for (let m = Math.max(from, this.first[j]!); m < to; m++) v -= values[own + m]! * values[row + m]!
    return v
  }

  /** Solution for rows `oldest` and younger; older entries mean nothing. The array is reused. */
  solveBack(oldest: number): Float64Array {
    const { solved, values } = this
    for (let i = oldest; i < this.size; i++) solved[i] = this.right[i]!
    for (let i = this.size - 1; i >= oldest; i--) {
      const first = this.first[i]!
      const base = this.begin[i]!
      const p = solved[i]! / values[base + i - first]!
      solved[i] = p
      const from = first > oldest ? first : oldest
      let a = base + from - first
      for (let m = from; m < i; m++) solved[m]! -= values[a++]! * p
    }
    return solved
  }

  private reserve(row: number, length: number): void {
    if (row + 1 >= this.first.length) {
      this.first = grown(this.first, Int32Array, 2 * this.first.length)
      this.begin = grown(this.begin, Float64Array, 2 * this.first.length + 1)
      this.right = grown(this.right, Float64Array, 2 * this.right.length)
      this.solved = new Float64Array(2 * this.solved.length)
    }
    const need = this.begin[row]! + length
    if (need > this.values.length)
      this.values = grown(this.values, Float64Array, Math.max(need, 1.5 * this.values.length) | 0)
  }
}

function grown<T extends Int32Array | Float64Array>(old: T, Kind: new (length: number) => T, length: number): T {
  const larger = new Kind(length)
  larger.set(old)
  return larger
}
