/**
 * Eigenvalues and eigenvectors of a small symmetric matrix by cyclic Jacobi rotations.
 *
 * Only + − × ÷ and sqrt are used, so every engine gives the same bits. Source: G. H. Golub, C. F. Van Loan, "Matrix
 * Computations", the cyclic Jacobi procedure with the stable choice of the smaller root.
 *
 * @param matrix n × n, row by row; only read
 * @returns `values` ascending; `vectors` n × n, the unit eigenvector of `values[i]` in row i, its largest entry positive
 * @example symmetricEigen([2, 1, 1, 2], 2).values // [1, 3]
 */
export function symmetricEigen(
  matrix: ArrayLike<number>,
  n: number,
): { readonly values: Float64Array; readonly vectors: Float64Array } {
  const a = Float64Array.from({ length: n * n }, (_, i) => matrix[i]!)
  const v = new Float64Array(n * n)
  for (let i = 0; i < n; i++) v[i * n + i] = 1
  // Quadratic convergence: six to eight sweeps settle a 3 × 3; the bound only guards against NaN.
  for (let sweep = 0; sweep < 40; sweep++) {
    let off = 0
    let scale = 0
    for (let p = 0; p < n; p++) {
      scale += a[p * n + p]! * a[p * n + p]!
      for (let q = p + 1; q < n; q++) off += a[p * n + q]! * a[p * n + q]!
    }
    if (!(off > 1e-32 * (scale + off))) break
    for (let p = 0; p < n; p++) for (let q = p + 1; q < n; q++) rotate(a, v, n, p, q)
  }
  return sorted(a, v, n)
}

function rotate(a: Float64Array, v: Float64Array, n: number, p: number, q: number): void {
  const apq = a[p * n + q]!
  if (apq === 0) return
  const theta = (a[q * n + q]! - a[p * n + p]!) / (2 * apq)
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1))
  const c = 1 / Math.sqrt(t * t + 1)
  const s = t * c
  for (let i = 0; i < n; i++) {
    const ip = a[i * n + p]!
    const iq = a[i * n + q]!
    a[i * n + p] = c * ip - s * iq
    a[i * n + q] = s * ip + c * iq
  }
  for (let i = 0; i < n; i++) {
    const pi = a[p * n + i]!
    const qi = a[q * n + i]!
    a[p * n + i] = c * pi - s * qi
    a[q * n + i] = s * pi + c * qi
    const vp = v[p * n + i]!
    const vq = v[q * n + i]!
    v[p * n + i] = c * vp - s * vq
    v[q * n + i] = s * vp + c * vq
  }
}

function sorted(a: Float64Array, v: Float64Array, n: number) {
  const order = Array.from({ length: n }, (_, i) => i).sort((i, j) => a[i * n + i]! - a[j * n + j]! || i - j)
  const values = new Float64Array(n)
  const vectors = new Float64Array(n * n)
  order.forEach((from, to) => {
    values[to] = a[from * n + from]!
    let largest = 0
    for (let i = 1; i < n; i++) if (Math.abs(v[from * n + i]!) > Math.abs(v[from * n + largest]!) + 1e-12) largest = i
    const sign = v[from * n + largest]! < 0 ? -1 : 1
    for (let i = 0; i < n; i++) vectors[to * n + i] = sign * v[from * n + i]!
  })
  return { values, vectors }
}
