import { solveNormal } from '../geometry/solve-normal'

export interface Circle {
  x: number
  y: number
  r: number
}

/**
 * Algebraic circle (Kåsa 1976): least squares of x² + y² = 2ax + 2by + c. Exact on exact points, but too small on short noisy
 * arcs; only the start of `fitCircle`.
 *
 * @param xy two per point
 * @returns null for points on a line
 */
export function startCircle(xy: Float64Array, count: number): Circle | null {
  let mx = 0
  let my = 0
  for (let i = 0; i < count; i++) {
    mx += xy[2 * i]!
    my += xy[2 * i + 1]!
  }
  mx /= count
  my /= count
  const a = new Float64Array(9)
  const b = new Float64Array(3)
  for (let i = 0; i < count; i++) {
    const x = xy[2 * i]! - mx
    const y = xy[2 * i + 1]! - my
    const q = x * x + y * y
    a[0]! += x * x
    a[3]! += x * y
    a[4]! += y * y
    a[6]! += x
    a[7]! += y
    a[8]! += 1
    b[0]! += x * q
    b[1]! += y * q
    b[2]! += q
  }
  if (!solveNormal(a, b, 3)) return null
  const x = b[0]! / 2
  const y = b[1]! / 2
  const r2 = b[2]! + x * x + y * y
  return r2 > 0 ? { x: x + mx, y: y + my, r: Math.sqrt(r2) } : null
}

/**
 * Geometric (orthogonal distance) least-squares circle by Gauss-Newton, halving a step that makes it worse.
 * W. Gander, G. H. Golub, R. Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558–578.
 *
 * @param xy two per point, the first `count` points
 * @returns null when the points do not hold a circle
 */
export function fitCircle(xy: Float64Array, count: number, start: Circle | null = null, rounds = 60): Circle | null {
  let circle = start ?? startCircle(xy, count)
  if (!circle) return null
  let cost = squares(xy, count, circle)
  for (let round = 0; round < rounds; round++) {
    const a = new Float64Array(9)
    const b = new Float64Array(3)
    for (let i = 0; i < count; i++) {
      const dx = xy[2 * i]! - circle.x
      const dy = xy[2 * i + 1]! - circle.y
      const d = Math.sqrt(dx * dx + dy * dy)
      if (!(d > 0)) continue
      const jx = -dx / d
      const jy = -dy / d
      const e = d - circle.r
      a[0]! += jx * jx
      a[3]! += jx * jy
      a[4]! += jy * jy
      a[6]! -= jx
      a[7]! -= jy
      a[8]! += 1
      b[0]! -= jx * e
      b[1]! -= jy * e
      b[2]! += e
    }
    if (!solveNormal(a, b, 3)) return null
    let share = 1
    for (;;) {
      const next: Circle = { x: circle.x + share * b[0]!, y: circle.y + share * b[1]!, r: circle.r + share * b[2]! }
      const nextCost = squares(xy, count, next)
      if (nextCost <= cost && next.r > 0) {
        circle = next
        cost = nextCost
        break
      }
      share /= 2
      if (share < 1e-6) return circle
    }
    if (share * (Math.abs(b[0]!) + Math.abs(b[1]!) + Math.abs(b[2]!)) < 1e-12 * circle.r) break
  }
  return circle
}

function squares(xy: Float64Array, count: number, { x, y, r }: Circle): number {
  let sum = 0
  for (let i = 0; i < count; i++) {
    const dx = xy[2 * i]! - x
    const dy = xy[2 * i + 1]! - y
    const e = Math.sqrt(dx * dx + dy * dy) - r
    sum += e * e
  }
  return sum
}
