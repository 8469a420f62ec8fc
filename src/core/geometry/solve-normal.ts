/**
 * Solves a small symmetric positive definite system (normal equations) by Cholesky's factor, in place.
 *
 * @param a  n × n, row by row; only the lower half is read; overwritten by the factor
 * @param b  right side, overwritten by the solution
 * @returns false when the matrix is not positive definite to within rounding: `b` is then meaningless
 */
export function solveNormal(a: Float64Array, b: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j++) {
    const before = a[j * n + j]!
    let d = before
    for (let k = 0; k < j; k++) d -= a[j * n + k]! * a[j * n + k]!
    if (!(d > before * 1e-13)) return false
    const root = Math.sqrt(d)
    a[j * n + j] = root
    for (let i = j + 1; i < n; i++) {
      let s = a[i * n + j]!
      for (let k = 0; k < j; k++) s -= a[i * n + k]! * a[j * n + k]!
      a[i * n + j] = s / root
    }
  }
  for (let i = 0; i < n; i++) {
    let s = b[i]!
    for (let k = 0; k < i; k++) s -= a[i * n + k]! * b[k]!
    b[i] = s / a[i * n + i]!
  }
  for (let i = n - 1; i >= 0; i--) {
    let s = b[i]!
    for (let k = i + 1; k < n; k++) s -= a[k * n + i]! * b[k]!
    b[i] = s / a[i * n + i]!
  }
  return true
}

/** The normal matrix scaled to ones on its diagonal (a correlation matrix). */
export function correlationOf(a: ArrayLike<number>, n: number): Float64Array {
  const out = new Float64Array(n * n)
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      const scale = Math.sqrt(a[i * n + i]! * a[j * n + j]!)
      out[i * n + j] = scale > 0 ? a[i * n + j]! / scale : i === j ? 1 : 0
    }
  return out
}
