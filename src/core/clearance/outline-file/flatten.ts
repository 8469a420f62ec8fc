/**
 * Curves as points. Every curve is cut until no point of it lies further from its chord than the stated error; the error is
 * measured at five places of each piece, which for the arcs, conics and cubics met here (no piece with more than one
 * inflection once cut in eight) holds for all of it.
 */
import { cosDeg, sinDeg } from '../../geometry/portable-math'

export type XY = readonly [number, number]

/** Pieces every curve is cut into before the error is asked about: a full turn must not look like a point. */
const FIRST_PIECES = 8
const DEEPEST = 14
const PLACES = [0.15, 0.35, 0.5, 0.65, 0.85]

/**
 * Points of a curve from t = from to t = to, its first point left out and its last one put in.
 *
 * @param at    the curve
 * @param error largest distance between curve and chords, in the curve's own unit
 */
export function flatten(at: (t: number) => XY, from: number, to: number, error: number): XY[] {
  const out: XY[] = []
  const cut = (a: number, p: XY, b: number, q: XY, depth: number) => {
    if (depth < DEEPEST && PLACES.some((s) => fromChord(at(a + s * (b - a)), p, q) > error)) {
      const m = (a + b) / 2
      const r = at(m)
      cut(a, p, m, r, depth + 1)
      cut(m, r, b, q, depth + 1)
    } else out.push(q)
  }
  let t = from
  let p = at(from)
  for (let k = 1; k <= FIRST_PIECES; k++) {
    const next = k === FIRST_PIECES ? to : from + ((to - from) * k) / FIRST_PIECES
    const q = at(next)
    cut(t, p, next, q, 0)
    t = next
    p = q
  }
  return withoutNeedless(at(from), out, error / 10)
}

/** A straight piece needs no points between its ends. */
function withoutNeedless(first: XY, points: XY[], error: number): XY[] {
  const out: XY[] = []
  let before = first
  for (let k = 0; k < points.length; k++) {
    const next = points[k + 1]
    if (next && fromChord(points[k]!, before, next) < error) continue
    out.push(points[k]!)
    before = points[k]!
  }
  return out
}

/** Distance of a point from the segment p–q. */
export function fromChord(x: XY, p: XY, q: XY): number {
  const dx = q[0] - p[0]
  const dy = q[1] - p[1]
  const length2 = dx * dx + dy * dy
  const t = length2 > 0 ? Math.min(1, Math.max(0, ((x[0] - p[0]) * dx + (x[1] - p[1]) * dy) / length2)) : 0
  const ex = x[0] - p[0] - t * dx
  const ey = x[1] - p[1] - t * dy
  return Math.sqrt(ex * ex + ey * ey)
}

/** An elliptic arc about a middle, with two conjugate half axes; angles in degrees. Its first point is left out. */
export function arcPoints(middle: XY, axisA: XY, axisB: XY, from_deg: number, to_deg: number, error: number): XY[] {
  return flatten(
    (t) => [
      middle[0] + axisA[0] * cosDeg(t) + axisB[0] * sinDeg(t),
      middle[1] + axisA[1] * cosDeg(t) + axisB[1] * sinDeg(t),
    ],
    from_deg,
    to_deg,
    error,
  )
}

/** A cubic between four control points. */
export const cubicPoints = (p: XY, a: XY, b: XY, q: XY, error: number): XY[] =>
  flatten(
    (t) => {
      const s = 1 - t
      const [w0, w1, w2, w3] = [s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t]
      return [w0 * p[0] + w1 * a[0] + w2 * b[0] + w3 * q[0], w0 * p[1] + w1 * a[1] + w2 * b[1] + w3 * q[1]]
    },
    0,
    1,
    error,
  )

/**
 * A B-spline, rational where weights are given, by de Boor's rule (C. de Boor 1972, "On calculating with B-splines").
 *
 * @param knots control points + degree + 1 of them, not falling
 */
export function splinePoints(
  control: readonly XY[],
  weights: readonly number[] | null,
  knots: readonly number[],
  degree: number,
  error: number,
): XY[] {
  const n = control.length
  const at = (t: number): XY => {
    let span = degree
    while (span < n - 1 && t >= knots[span + 1]!) span++
    const d = Array.from({ length: degree + 1 }, (_, j) => {
      const k = span - degree + j
      const w = weights ? weights[k]! : 1
      return [control[k]![0] * w, control[k]![1] * w, w]
    })
    for (let r = 1; r <= degree; r++)
      for (let j = degree; j >= r; j--) {
        const low = knots[span - degree + j]!
        const high = knots[span + 1 + j - r]!
        const share = high > low ? (t - low) / (high - low) : 0
        for (let c = 0; c < 3; c++) d[j]![c] = (1 - share) * d[j - 1]![c]! + share * d[j]![c]!
      }
    const [x, y, w] = d[degree] as [number, number, number]
    return [x / w, y / w]
  }
  const out: XY[] = [at(knots[degree]!)]
  // Span by span: within one the curve is a single polynomial.
  for (let s = degree; s < n; s++) {
    const from = knots[s]!
    const to = knots[s + 1]!
    if (!(to > from)) continue
    // The end of a span belongs to it; asked at the knot itself the next span would answer with the same point.
    out.push(...flatten(at, from, to, error))
  }
  return out
}
