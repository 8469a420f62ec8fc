/**
 * A curve in plan that goes round the shell counter-clockwise.
 *
 * `mirrored`: an open chain in y ≥ 0 from (x, 0) forward to (x, 0) aft, whose mirror image closes it; its first and last
 * corner lie on y = 0 exactly. Otherwise a closed loop whose last corner is followed by its first.
 */
import { square } from '../geometry/portable-math'
export interface PlanCurve {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly mirrored: boolean
}

export const cornerCount = (curve: PlanCurve): number => curve.x.length

/** How many segments run between corners; a loop has one more than a chain of as many corners. */
export const segmentCount = (curve: PlanCurve): number => curve.x.length - (curve.mirrored ? 1 : 0)

export interface Mitres {
  readonly mx: Float64Array
  readonly my: Float64Array
}

/**
 * Mitre vectors m = (n1 + n2)/(1 + n1·n2), outward: a corner moved by d·m stays at distance d from both its segments, so a
 * wall whose rows are moved by them is exactly planar over every segment. Two per curve corner.
 */
export function mitres(curve: PlanCurve): Mitres {
  const { x, y, mirrored } = curve
  const n = x.length
  const mx = new Float64Array(n)
  const my = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const before = neighbour(curve, k, -1)
    const after = neighbour(curve, k, 1)
    let ax = y[k]! - before[1]
    let ay = before[0] - x[k]!
    let bx = after[1] - y[k]!
    let by = x[k]! - after[0]
    const la = Math.sqrt(ax * ax + ay * ay)
    const lb = Math.sqrt(bx * bx + by * by)
    ax /= la
    ay /= la
    bx /= lb
    by /= lb
    const scale = 1 / (1 + ax * bx + ay * by)
    mx[k] = (ax + bx) * scale
    my[k] = mirrored && (k === 0 || k === n - 1) ? 0 : (ay + by) * scale
  }
  return { mx, my }
}

/** The corner before or after, through the mirror at the ends of a chain. */
function neighbour(curve: PlanCurve, k: number, step: number): [number, number] {
  const { x, y, mirrored } = curve
  const n = x.length
  let j = k + step
  if (mirrored) {
    if (j < 0) return [x[-j]!, -y[-j]!]
    if (j >= n) return [x[2 * (n - 1) - j]!, -y[2 * (n - 1) - j]!]
  } else j = (j + n) % n
  return [x[j]!, y[j]!]
}

/** The curve moved outwards by `distance` (one for all, or one per corner). */
export function pushOut(curve: PlanCurve, distance: number | Float64Array): PlanCurve {
  const { mx, my } = mitres(curve)
  const at = (k: number) => (typeof distance === 'number' ? distance : distance[k]!)
  return {
    x: curve.x.map((v, k) => v + at(k) * mx[k]!),
    y: curve.y.map((v, k) => v + at(k) * my[k]!),
    mirrored: curve.mirrored,
  }
}

/** Length along the curve up to every corner; for a loop one entry more, its whole length. */
export function arcLengths(curve: PlanCurve): Float64Array {
  const segments = segmentCount(curve)
  const n = curve.x.length
  const s = new Float64Array(segments + 1)
  for (let k = 0; k < segments; k++) {
    const j = (k + 1) % n
    const dx = curve.x[j]! - curve.x[k]!
    const dy = curve.y[j]! - curve.y[k]!
    s[k + 1] = s[k]! + Math.sqrt(dx * dx + dy * dy)
  }
  return s
}

/**
 * The curve walked again with its own step at every place.
 *
 * @param stepAt wanted distance to the next corner, mm, by corner number of `curve` (a fraction between two)
 */
export function resample(curve: PlanCurve, stepAt: (corner: number) => number): PlanCurve {
  const s = arcLengths(curve)
  const total = s[s.length - 1]!
  const n = curve.x.length
  const places: number[] = [0]
  let at = 0
  let k = 0
  while (at < total) {
    while (k < s.length - 2 && s[k + 1]! <= at) k++
    at += stepAt(k)
    if (at < total) places.push(at)
  }
  // Spread the last short step over all, so that no sliver is left at the end.
  const reach = places.length > 1 ? at : total
  const scale = total / reach
  const ends = curve.mirrored ? 1 : 0
  const x = new Float64Array(places.length + ends)
  const y = new Float64Array(places.length + ends)
  k = 0
  for (let p = 0; p < places.length; p++) {
    const place = places[p]! * scale
    while (k < s.length - 2 && s[k + 1]! <= place) k++
    const j = (k + 1) % n
    const t = (place - s[k]!) / (s[k + 1]! - s[k]!)
    x[p] = curve.x[k]! + t * (curve.x[j]! - curve.x[k]!)
    y[p] = curve.y[k]! + t * (curve.y[j]! - curve.y[k]!)
  }
  if (curve.mirrored) {
    y[0] = 0
    x[places.length] = curve.x[n - 1]!
    y[places.length] = 0
  }
  return { x, y, mirrored: curve.mirrored }
}

/**
 * Radius of the circle through a corner and the corners some way before and after it; positive where the curve is convex,
 * negative where it is concave, Infinity where straight.
 *
 * @param reach how many corners before and after
 */
export function cornerRadius(curve: PlanCurve, k: number, reach: number): number {
  const [ax, ay] = neighbour(curve, k, -reach)
  const [cx, cy] = neighbour(curve, k, reach)
  const bx = curve.x[k]!
  const by = curve.y[k]!
  const twice = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
  const a = Math.sqrt(square(bx - ax) + square(by - ay))
  const b = Math.sqrt(square(cx - bx) + square(cy - by))
  const c = Math.sqrt(square(cx - ax) + square(cy - ay))
  return twice === 0 ? Infinity : (a * b * c) / (2 * twice)
}

/**
 * Smoothed by (¼ ½ ¼) so many times; the ends of a chain stay on y = 0.
 *
 * @param share one per corner, 0 (stays) … 1 (moves as far as the smoothing wants); without it 1 everywhere
 */
export function smooth(curve: PlanCurve, times: number, share?: Float64Array): PlanCurve {
  const n = curve.x.length
  let current = curve
  for (let round = 0; round < times; round++) {
    const x = new Float64Array(n)
    const y = new Float64Array(n)
    for (let k = 0; k < n; k++) {
      const [ax, ay] = neighbour(current, k, -1)
      const [bx, by] = neighbour(current, k, 1)
      const move = (share ? share[k]! : 1) / 4
      x[k] = current.x[k]! + move * (ax - 2 * current.x[k]! + bx)
      y[k] = current.y[k]! + move * (ay - 2 * current.y[k]! + by)
    }
    if (curve.mirrored) {
      y[0] = 0
      y[n - 1] = 0
    }
    current = { x, y, mirrored: curve.mirrored }
  }
  return current
}

/** Both halves as one closed polygon, x y pairs. */
export function closedPolygon(curve: PlanCurve): Float64Array {
  const n = curve.x.length
  const back = curve.mirrored ? n - 2 : 0
  const out = new Float64Array(2 * (n + back))
  for (let k = 0; k < n; k++) {
    out[2 * k] = curve.x[k]!
    out[2 * k + 1] = curve.y[k]!
  }
  for (let k = 0; k < back; k++) {
    out[2 * (n + k)] = curve.x[n - 2 - k]!
    out[2 * (n + k) + 1] = -curve.y[n - 2 - k]!
  }
  return out
}

/** Even-odd; a mirrored chain is closed along the centreline and asked with |y|. */
export function insideCurve(curve: PlanCurve, x: number, y: number): boolean {
  const n = curve.x.length
  const py = curve.mirrored && y < 0 ? -y : y
  let inside = false
  for (let k = 0, j = n - 1; k < n; j = k++) {
    const yk = curve.y[k]!
    const yj = curve.y[j]!
    if (yk > py !== yj > py && x < curve.x[k]! + ((py - yk) / (yj - yk)) * (curve.x[j]! - curve.x[k]!)) inside = !inside
  }
  return inside
}
