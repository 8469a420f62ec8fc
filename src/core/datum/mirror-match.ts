import { type NormalGate, nearestPoint, type PointGrid } from '../geometry/point-grid'
import type { SurfaceSample } from '../geometry/sample-surface'
import { axisOf, type MirrorPose, movedPose, type PoseStep, solveStep, UNKNOWNS, type Unknowns } from './mirror-pose'

/** What is matched: samples of a surface against points of the same surface, about a common middle, mm. */
export interface MirrorMatch {
  readonly points: Float32Array
  readonly normals: Float32Array
  readonly grid: PointGrid
  readonly sample: SurfaceSample
  /** Point met by each sample in the last round, −1 for none: the next search starts from it. */
  readonly partner: Int32Array
}

export interface MatchRound {
  /** mm; nothing further away is a partner. */
  readonly reach_mm: number
  /** Least cosine between the mirrored normal and the partner's. */
  readonly cosine: number
  /** Share of the matched samples that counts, by least residual. */
  readonly keep: number
  readonly solve: Unknowns
  /** Of `parts` equal parts of the sample only number `part`; cut in runs of `run` neighbours on the metal. */
  readonly parts: number
  readonly part: number
  readonly run: number
}

/** The whole sample. */
export const WHOLE = { parts: 1, part: 0, run: 1 } as const

export interface RoundResult {
  readonly pose: MirrorPose
  readonly moved: PoseStep
  /** Normal matrix of yaw, roll, offset, slope, twist, 5 × 5. */
  readonly normalMatrix: Float64Array
  /** Share of the area that met a partner. */
  readonly matched: number
  /** Mean of |residual| capped at `CAP_mm`, samples without a partner counted as the cap: tells a right plane from a near miss. */
  readonly score_mm: number
}

/** See `RoundResult.score_mm`. Medians and trimmed means cannot tell the two: most metal is symmetric both ways. */
export const CAP_mm = 25

const BINS = 4096

export function makeMatch(
  points: Float32Array,
  normals: Float32Array,
  grid: PointGrid,
  sample: SurfaceSample,
): MirrorMatch {
  return { points, normals, grid, sample, partner: new Int32Array(sample.vertex.length).fill(-1) }
}

/**
 * One round of point-to-plane matching of a surface with its own mirror image (Gauss-Newton step on fixed partners).
 *
 * Vertex against vertex with the partner's tangent is enough: both sides carry the same chord error, so it cancels. Residuals
 * beyond the kept share are left out, the others weighted by 1/(1 + (r/c)²)², c from the median (Geman and McClure's weight).
 *
 * @returns null when fewer than 20 samples met a partner or the step cannot be solved
 */
export function matchRound(match: MirrorMatch, pose: MirrorPose, round: MatchRound): RoundResult | null {
  const { points, normals, grid, sample, partner } = match
  const { reach_mm } = round
  const first = round.part * round.run
  const skip = (round.parts - 1) * round.run
  const [nx, ny, nz] = pose.normal
  const [ux, uy, uz] = pose.up
  const d = pose.offset_mm
  const k = pose.slope
  const twist = pose.twist
  const [fx, fy, fz] = axisOf(pose)
  const count = sample.vertex.length
  const nextSample = (i: number, run: number) => (run % round.run === 0 ? i + 1 + skip : i + 1)
  const gate: NormalGate = { normals, cosine: round.cosine }
  const residual = new Float64Array(count)
  const histogram = new Float64Array(BINS)
  const binOf = BINS / reach_mm
  let all = 0
  let met = 0
  let capped = 0
  let number = 0
  for (let i = first, run = 0; i < count; i = nextSample(i, ++run)) {
    const w = sample.weight[i]!
    const v = 3 * sample.vertex[i]!
    const x = points[v]!
    const y = points[v + 1]!
    const z = points[v + 2]!
    const s = nx * x + ny * y + nz * z - d
    const lift = -(k + twist * (fx * x + fy * y + fz * z)) * s
    const yx = x - 2 * s * nx + lift * ux
    const yy = y - 2 * s * ny + lift * uy
    const yz = z - 2 * s * nz + lift * uz
    const turn = 2 * (normals[v]! * nx + normals[v + 1]! * ny + normals[v + 2]! * nz)
    const mx = normals[v]! - turn * nx
    const my = normals[v + 1]! - turn * ny
    const mz = normals[v + 2]! - turn * nz
    let reach = reach_mm
    let found = partner[i]!
    if (found >= 0) {
      const q = 3 * found
      const agree = normals[q]! * mx + normals[q + 1]! * my + normals[q + 2]! * mz
      const qx = points[q]! - yx
      const qy = points[q + 1]! - yy
      const qz = points[q + 2]! - yz
      const distance = Math.sqrt(qx * qx + qy * qy + qz * qz)
      if (agree >= round.cosine && distance < reach) reach = distance
      else found = -1
    }
    const nearer = nearestPoint(grid, yx, yy, yz, reach, gate, mx, my, mz)
    if (nearer >= 0) found = nearer
    partner[i] = found
    all += w
    if (found < 0) {
      capped += w * CAP_mm
      continue
    }
    const q = 3 * found
    const r =
      normals[q]! * (yx - points[q]!) +
      normals[q + 1]! * (yy - points[q + 1]!) +
      normals[q + 2]! * (yz - points[q + 2]!)
    residual[i] = r
    const size = r < 0 ? -r : r
    capped += w * Math.min(size, CAP_mm)
    met += w
    number++
    histogram[Math.min(BINS - 1, Math.floor(size * binOf))]! += w
  }
  if (number < 20 || !(met > 0)) return null
  const median = quantileOfBins(histogram, 0.5 * met) / binOf
  const limit = quantileOfBins(histogram, round.keep * met) / binOf
  const c2 = 16 * median * median + 1e-6
  const a = new Float64Array(UNKNOWNS * UNKNOWNS)
  const b = new Float64Array(UNKNOWNS)
  const row = new Float64Array(UNKNOWNS)
  for (let i = first, run = 0; i < count; i = nextSample(i, ++run)) {
    const found = partner[i]!
    if (found < 0) continue
    const r = residual[i]!
    if (r > limit || r < -limit) continue
    const v = 3 * sample.vertex[i]!
    const x = points[v]!
    const y = points[v + 1]!
    const z = points[v + 2]!
    const q = 3 * found
    const mx = normals[q]!
    const my = normals[q + 1]!
    const mz = normals[q + 2]!
    const s = nx * x + ny * y + nz * z - d
    const mn = mx * nx + my * ny + mz * nz
    const damp = 1 / (1 + (r * r) / c2)
    const w = sample.weight[i]! * damp * damp
    const mu = mx * ux + my * uy + mz * uz
    const along = fx * x + fy * y + fz * z
    row[0] = -2 * (along * mn + s * (mx * fx + my * fy + mz * fz))
    row[1] = -2 * ((ux * x + uy * y + uz * z) * mn + s * mu)
    row[2] = 2 * mn
    row[3] = -s * mu
    row[4] = -s * mu * along
    for (let p = 0; p < UNKNOWNS; p++) {
      const wp = w * row[p]!
      b[p]! -= wp * r
      for (let q = 0; q <= p; q++) a[p * UNKNOWNS + q]! += wp * row[q]!
    }
  }
  for (let p = 0; p < UNKNOWNS; p++) for (let q = p + 1; q < UNKNOWNS; q++) a[p * UNKNOWNS + q] = a[q * UNKNOWNS + p]!
  const step = solveStep(a, b, round.solve)
  if (!step) return null
  return {
    pose: movedPose(pose, step),
    moved: step,
    normalMatrix: a,
    matched: met / all,
    score_mm: capped / all,
  }
}

/** Upper edge of the bin in which the running sum passes `target`. */
function quantileOfBins(histogram: Float64Array, target: number): number {
  let sum = 0
  for (let i = 0; i < BINS; i++) {
    sum += histogram[i]!
    if (sum >= target) return i + 1
  }
  return BINS
}
