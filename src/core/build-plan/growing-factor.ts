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
    let sum = diagonal
    let y = right
    for (let j = first; j < row; j++) {
      const firstJ = this.first[j]!
      const baseJ = this.begin[j]!
      let v = values[base + j - first]!
      const from = firstJ > first ? firstJ : first
      let a = base + from - first
      let b = baseJ + from - firstJ
      for (let m = from; m < j; m++) v -= values[a++]! * values[b++]!
      v /= values[baseJ + j - firstJ]!
      values[base + j - first] = v
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
