import type { Steps } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { arcLengths, cornerCount, cornerRadius, type PlanCurve, pushOut, resample, smooth } from './plan-curve'
import { fieldAt, outerContour } from './plan-field'
import type { PlanGrid } from './plan-grid'
import { rollingBall, signedArea } from './rolling-ball'

export interface OutlineOptions {
  readonly grid: PlanGrid
  /** The plan field on `grid`: the outline runs where it is ≥ 0. */
  readonly field: Float64Array
}

/** Radius of the ball that is rolled round the metal: notches narrower than twice this are bridged. */
const BALL_MM = 200
/** Spacing of the curve while it is made fair. */
const FINE_MM = 3
/** Smoothing of everything (some 7 mm), then of what is nearly straight (some 40 mm): what noise does to a tube's side. */
const SHORT_PASSES = 12
const LONG_PASSES = 350
/** From this radius on a curve counts as nearly straight, mm. */
const STRAIGHT_MM = 300
/** Fairing: the push outwards as a beam under tension; wobbles shorter than this are spanned, longer shapes followed. */
const BEAM_MM = 150
/** Radius to which the beam sags between places that hold it out. */
const BEAM_RADIUS_MM = 8000
/** Corners between two nodes of the beam. */
const BEAM_EVERY = 4
const BEAM_SWEEPS = 600
/** How far the fair curve may come in where smoothing moved it out, mm. */
const LEAST_SINK_MM = 0.5
const LEAST_STEP_MM = 2
const LARGEST_STEP_MM = 10

/**
 * The outline in plan at the reference height: the outer contour of the plan field, closed by a rolling ball, made fair, and
 * nowhere inside the field's zero.
 *
 * Scan noise makes the contour wobble by some tenths of a millimetre within a few (several degrees of direction), which
 * walls and inward rows cannot take. The curve is smoothed and then pushed along its normals by a one-dimensional obstacle
 * problem (a beam that must not be nearer to the metal than asked), so the push stays local and fair.
 *
 * @throws Refused `shape-impossible` if the metal does not hang together under one outline
 */
export function* outline(options: OutlineOptions): Steps<PlanCurve> {
  const { grid, field } = options
  const half = outerContour(grid, field)
  const points = grid.mirrored ? bothHalves(half) : half
  const found = rollingBall(points, BALL_MM, FINE_MM)
  const loop = found[0]
  if (!loop)
    throw new Refused('shape-impossible', 'clearance: there is no metal above the skirt line; lower the skirt.')
  const second = found[1]
  if (second && Math.abs(signedArea(second)) > 1000 && !holds(loop, second))
    throw new Refused(
      'shape-impossible',
      `clearance: the metal above the skirt line falls into ${found.length} parts that one outline cannot hold (a second one about x ${Math.round(second[0]!)}, y ${Math.round(second[1]!)}); plan each by itself or remove the stray part in the scan step.`,
    )
  yield 0.3
  const rough: PlanCurve = grid.mirrored
    ? upperHalf(loop)
    : { x: loop.filter((_, k) => k % 2 === 0), y: loop.filter((_, k) => k % 2 === 1), mirrored: false }
  const even = resample(rough, () => FINE_MM)
  let fair = smooth(even, SHORT_PASSES)
  fair = smooth(fair, LONG_PASSES, straightness(fair))
  for (let round = 0; round < 3; round++) {
    fair = pushOut(fair, beam(fair, shortfalls(grid, field, fair)))
    yield 0.4 + 0.15 * round
  }
  return clearOf(grid, field, stepped(fair))
}

/** The curve with steps of a quarter of its convex radius, 2 … 10 mm: what mitres and inward rows can take. */
export function stepped(curve: PlanCurve): PlanCurve {
  const fine = resample(curve, () => FINE_MM)
  const radius = convexRadii(fine)
  return resample(fine, (k) => Math.min(LARGEST_STEP_MM, Math.max(LEAST_STEP_MM, radius[k]! / 4)))
}

/** Pushed out as a whole by what its corners and the middles between them still lack. */
export function clearOf(grid: PlanGrid, field: Float64Array, curve: PlanCurve): PlanCurve {
  let out = curve
  for (let round = 0; round < 4; round++) {
    let worst = 0
    for (const lack of shortfalls(grid, field, out)) if (lack > worst) worst = lack
    if (worst <= 0) return out
    out = pushOut(out, worst)
  }
  return out
}

/** How far each corner, or the middle of a segment at it, stands inside the field's zero; negative where it is clear. */
function shortfalls(grid: PlanGrid, field: Float64Array, curve: PlanCurve): Float64Array {
  const n = cornerCount(curve)
  const lack = new Float64Array(n)
  for (let k = 0; k < n; k++) lack[k] = -fieldAt(grid, field, curve.x[k]!, curve.y[k]!)
  for (let k = 0; k < n; k++) {
    const j = k + 1 < n ? k + 1 : curve.mirrored ? k : 0
    const middle = -fieldAt(grid, field, (curve.x[k]! + curve.x[j]!) / 2, (curve.y[k]! + curve.y[j]!) / 2)
    if (middle > lack[k]!) lack[k] = middle
    if (middle > lack[j]!) lack[j] = middle
  }
  return lack
}

/**
 * Least displacement along the normals that is nowhere below what is lacking: a beam under tension and a small load, by
 * projected over-relaxation on every fourth corner, each with the worst lack around it. Away from the metal it may sink, at
 * most by the smoothing's own error.
 */
function beam(curve: PlanCurve, lack: Float64Array): Float64Array {
  const n = lack.length
  const { mirrored } = curve
  const spans = Math.max(4, Math.round((mirrored ? n - 1 : n) / BEAM_EVERY))
  const nodes = mirrored ? spans + 1 : spans
  const every = (mirrored ? n - 1 : n) / spans
  const fold = (k: number, count: number) =>
    mirrored ? (k < 0 ? -k : k >= count ? 2 * (count - 1) - k : k) : (k + count) % count
  const floor = Float64Array.from({ length: nodes }, (_, m) => {
    let worst = -LEAST_SINK_MM
    const reach = Math.ceil(0.75 * every)
    for (let d = -reach; d <= reach; d++) worst = Math.max(worst, lack[fold(Math.round(m * every) + d, n)]!)
    return worst
  })
  const h = FINE_MM * every
  const tension = square(h / BEAM_MM)
  // A span s sags under load q with a radius of 24/(q s²) (clamped strip).
  const load = (24 / (BEAM_RADIUS_MM * BEAM_MM * BEAM_MM)) * square(square(h))
  const diagonal = 6 + 2 * tension
  const u = floor.slice()
  for (let sweep = 0; sweep < BEAM_SWEEPS; sweep++)
    for (let s = 0; s < nodes; s++) {
      const k = sweep % 2 ? nodes - 1 - s : s
      const near = u[fold(k - 1, nodes)]! + u[fold(k + 1, nodes)]!
      const far = u[fold(k - 2, nodes)]! + u[fold(k + 2, nodes)]!
      const residual = diagonal * u[k]! - (4 + tension) * near + far + load
      u[k] = Math.max(floor[k]!, u[k]! - (1.4 * residual) / diagonal)
    }
  return Float64Array.from({ length: n }, (_, k) => {
    const at = k / every
    const m = Math.min(spans - 1, Math.floor(at))
    const t = at - m
    const [a, b, c, d] = [-1, 0, 1, 2].map((o) => u[fold(m + o, nodes)]!) as [number, number, number, number]
    return b + 0.5 * t * (c - a + t * (2 * a - 5 * b + 4 * c - d + t * (3 * (b - c) + d - a)))
  })
}

/**
 * Share of the long smoothing that each corner takes: all where the curve is nearly straight for 90 mm either way, little at
 * corners. A shorter look takes the noise itself for corners.
 */
function straightness(curve: PlanCurve): Float64Array {
  const n = cornerCount(curve)
  const reach = Math.min(30, Math.floor((n - 1) / 2))
  const bend = Float64Array.from({ length: n }, (_, k) =>
    Math.min(1, square(cornerRadius(curve, k, reach) / STRAIGHT_MM)),
  )
  return bend.map((_, k) => {
    let least = 1
    for (let d = -reach; d <= reach; d++) {
      const j = curve.mirrored ? Math.abs(k + d) : (k + d + n) % n
      least = Math.min(least, bend[j >= n ? 2 * (n - 1) - j : j]!)
    }
    return least
  })
}

/** Convex radius per corner over some 9 mm each way, and the least of it nearby; Infinity where straight or concave. */
function convexRadii(curve: PlanCurve): Float64Array {
  const n = cornerCount(curve)
  const raw = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const r = cornerRadius(curve, k, 3)
    raw[k] = r > 0 ? r : Math.max(30, -r)
  }
  return raw.map((_, k) => {
    let least = Infinity
    for (let d = -3; d <= 3; d++) {
      const j = curve.mirrored ? Math.min(n - 1, Math.max(0, k + d)) : (k + d + n) % n
      if (raw[j]! < least) least = raw[j]!
    }
    return least
  })
}

/**
 * Edge radius at every corner of the outline: the asked one, or 0.6 of the corner's own convex radius where that is less
 * (inner rows of the fillet would cross), changing at most 1 in 8 along the edge.
 */
export function localEdgeRadii(curve: PlanCurve, edgeRadius_mm: number): Float64Array {
  const n = cornerCount(curve)
  const s = arcLengths(curve)
  const total = s[s.length - 1]!
  const radius = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const r = Math.min(positive(cornerRadius(curve, k, 1)), positive(cornerRadius(curve, k, 2)))
    radius[k] = Math.min(edgeRadius_mm, 0.6 * r)
  }
  const rounds = curve.mirrored ? 1 : 2
  for (let round = 0; round < rounds; round++) {
    for (let k = 1; k < n; k++) radius[k] = Math.min(radius[k]!, radius[k - 1]! + (s[k]! - s[k - 1]!) / 8)
    for (let k = n - 2; k >= 0; k--) radius[k] = Math.min(radius[k]!, radius[k + 1]! + (s[k + 1]! - s[k]!) / 8)
    if (!curve.mirrored) {
      const seam = (total - s[n - 1]!) / 8
      radius[0] = Math.min(radius[0]!, radius[n - 1]! + seam)
      radius[n - 1] = Math.min(radius[n - 1]!, radius[0]! + seam)
    }
  }
  return radius
}

const positive = (r: number): number => (r > 0 ? r : Infinity)

function bothHalves(half: Float64Array): Float64Array {
  const out: number[] = []
  for (let k = 0; k < half.length; k += 2) {
    out.push(half[k]!, half[k + 1]!)
    if (half[k + 1]! > 0) out.push(half[k]!, -half[k + 1]!)
  }
  return Float64Array.from(out)
}

/** Whether a loop's first corner lies in another loop. */
function holds(loop: Float64Array, other: Float64Array): boolean {
  const x = other[0]!
  const y = other[1]!
  let inside = false
  for (let k = 0, j = loop.length - 2; k < loop.length; j = k, k += 2) {
    const yk = loop[k + 1]!
    const yj = loop[j + 1]!
    if (yk > y !== yj > y && x < loop[k]! + ((y - yk) / (yj - yk)) * (loop[j]! - loop[k]!)) inside = !inside
  }
  return inside
}

/** The part of a loop in y ≥ 0, from where it comes up through the centreline to where it goes down. @throws Refused `shape-impossible` */
export function upperHalf(loop: Float64Array): PlanCurve {
  const n = loop.length / 2
  const yAt = (k: number) => loop[2 * (k % n) + 1]!
  const rises: number[] = []
  for (let k = 0; k < n; k++) if (yAt(k) <= 0 && yAt(k + 1) > 0) rises.push(k)
  if (rises.length !== 1)
    throw new Refused(
      'shape-impossible',
      `clearance: the outline crosses the centreline ${2 * rises.length} times where a single shell crosses it twice; check the datum, or set symmetric to false.`,
    )
  const start = rises[0]!
  const x: number[] = []
  const y: number[] = []
  const onCentre = (k: number) => {
    const ya = yAt(k)
    const yb = yAt(k + 1)
    const t = ya / (ya - yb)
    const xa = loop[2 * (k % n)]!
    x.push(xa + t * (loop[2 * ((k + 1) % n)]! - xa))
    y.push(0)
  }
  onCentre(start)
  let k = start + 1
  while (yAt(k) > 0) {
    x.push(loop[2 * (k % n)]!)
    y.push(yAt(k))
    if (yAt(k + 1) <= 0) break
    k++
  }
  onCentre(k)
  return { x: Float64Array.from(x), y: Float64Array.from(y), mirrored: true }
}
