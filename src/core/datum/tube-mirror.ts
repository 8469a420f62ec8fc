import type { Tube } from '../frame'
import type { Steps } from '../geometry/kernel'
import { nearestPoint, type PointGrid, pointGrid } from '../geometry/point-grid'
import { correlationOf } from '../geometry/solve-normal'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { cross, dot, type Vec } from '../geometry/vectors'
import { type MirrorPlane, spreadOf } from './mirror-plane'
import { axisOf, type MirrorPose, movedPose, movement_mm, solveStep, UNKNOWNS, withoutTwist } from './mirror-pose'

/** Stations of all tubes in one list, about the middle of the metal, mm. */
export interface TubeStations {
  /** Three per station. */
  readonly at: Float32Array
  /** Unit tangents, three per station. */
  readonly along: Float32Array
  readonly radius_mm: Float32Array
  readonly tube: Int32Array
  /** 1: fitted free of joints. */
  readonly clean: Uint8Array
  /** Number of the station before and after on the same tube, −1 at an open end. */
  readonly before: Int32Array
  readonly after: Int32Array
  readonly grid: PointGrid
  readonly count: number
}

const GRID_mm = 30
/** Radii of a pair agree within this, mm. */
const SAME_RADIUS_mm = 1
/** Tangents of a pair agree: cosine of 15°. */
const ALONG = 0.966
/** Reach of the first rounds (the coarse plane lies within it) and of the others, mm. */
const REACH_mm = [60, 60, 25] as const
const ROUNDS = 25
const STILL_mm = 1e-3
/** Stations in a run: the two samples that are compared share no longer piece of tube. */
const RUN = 12
/** Fewer meeting stations than this, or a smaller share of the clean ones, and points know better. */
const LEAST_STATIONS = 120
const LEAST_SHARE = 0.6

/** @param middle scan axes, mm: what the stations are put about */
export function tubeStations(tubes: readonly Tube[], middle: Vec): TubeStations {
  const count = tubes.reduce((sum, t) => sum + t.axis.length / 3, 0)
  const at = new Float32Array(3 * count)
  const along = new Float32Array(3 * count)
  const radius_mm = new Float32Array(count)
  const tube = new Int32Array(count)
  const clean = new Uint8Array(count)
  const before = new Int32Array(count).fill(-1)
  const after = new Int32Array(count).fill(-1)
  let first = 0
  for (const [t, { axis, closed, diameter_mm, clean: sure }] of tubes.entries()) {
    const n = axis.length / 3
    for (let k = 0; k < n; k++) {
      const i = first + k
      for (let c = 0; c < 3; c++) at[3 * i + c] = axis[3 * k + c]! - middle[c]!
      radius_mm[i] = diameter_mm / 2
      tube[i] = t
      clean[i] = sure[k]!
      if (k > 0 || closed) before[i] = first + ((k + n - 1) % n)
      if (k < n - 1 || closed) after[i] = first + ((k + 1) % n)
    }
    for (let i = first; i < first + n; i++) {
      const a = before[i]! >= 0 ? before[i]! : i
      const b = after[i]! >= 0 ? after[i]! : i
      const d = [0, 1, 2].map((c) => at[3 * b + c]! - at[3 * a + c]!)
      const l = Math.sqrt(d[0]! * d[0]! + d[1]! * d[1]! + d[2]! * d[2]!) || 1
      for (let c = 0; c < 3; c++) along[3 * i + c] = d[c]! / l
    }
    first += n
  }
  return { at, along, radius_mm, tube, clean, before, after, grid: pointGrid(at, GRID_mm), count }
}

/** Where a point meets an axis. */
export interface AxisMeeting {
  readonly tube: number
  readonly at: Vec
  readonly along: Vec
}

/**
 * The place on a clean stretch of axis nearest to `y`, of a tube with the same radius that runs the same way.
 *
 * @param along unit tangent at `y`; either sense
 */
export function meetAxis(s: TubeStations, y: Vec, along: Vec, radius: number, reach_mm: number): AxisMeeting | null {
  // Nearest stations by both senses of the tangent: the gate compares it like a normal.
  let near = -1
  let least = Infinity
  for (const sense of [1, -1]) {
    const gate = { normals: s.along, cosine: ALONG }
    const found = nearestPoint(
      s.grid,
      y[0],
      y[1],
      y[2],
      reach_mm,
      gate,
      sense * along[0],
      sense * along[1],
      sense * along[2],
    )
    if (found < 0) continue
    const d: Vec = [s.at[3 * found]! - y[0], s.at[3 * found + 1]! - y[1], s.at[3 * found + 2]! - y[2]]
    const d2 = dot(d, d)
    if (d2 < least) {
      least = d2
      near = found
    }
  }
  if (near < 0 || Math.abs(s.radius_mm[near]! - radius) > SAME_RADIUS_mm) return null
  let best: AxisMeeting | null = null
  let bestDistance = Infinity
  for (const [a, b] of [
    [s.before[near]!, near],
    [near, s.after[near]!],
  ] as const) {
    if (a < 0 || b < 0 || !s.clean[a] || !s.clean[b]) continue
    const ux = s.at[3 * b]! - s.at[3 * a]!
    const uy = s.at[3 * b + 1]! - s.at[3 * a + 1]!
    const uz = s.at[3 * b + 2]! - s.at[3 * a + 2]!
    const uu = ux * ux + uy * uy + uz * uz
    const t =
      ((y[0] - s.at[3 * a]!) * ux + (y[1] - s.at[3 * a + 1]!) * uy + (y[2] - s.at[3 * a + 2]!) * uz) /
      Math.max(uu, 1e-12)
    // Beyond both ends of both segments there is no axis under the point.
    if (t < -0.5 || t > 1.5) continue
    const clamped = Math.min(1, Math.max(0, t))
    const at: Vec = [s.at[3 * a]! + clamped * ux, s.at[3 * a + 1]! + clamped * uy, s.at[3 * a + 2]! + clamped * uz]
    const d: Vec = [at[0] - y[0], at[1] - y[1], at[2] - y[2]]
    const distance = dot(d, d)
    if (distance < bestDistance) {
      bestDistance = distance
      const l = Math.sqrt(uu)
      best = { tube: s.tube[near]!, at, along: [ux / l, uy / l, uz / l] }
    }
  }
  return best
}

/**
 * The centreline plane from tube axes, with the lowered side as an unknown of its own: each clean station is mirrored on to the
 * axis it meets, and the two components of the rest across that axis are made small. Several times sharper than points
 * (roll 0.002° against 0.0045° rms at 8 mm edges), and unmoved by local damage such as sagging cross tubes.
 *
 * @returns null when too few stations meet a partner: then use points
 */
export function* tubeMirror(stations: TubeStations, start: MirrorPose, farEnd_mm: number): Steps<MirrorPlane | null> {
  const whole = yield* solve(stations, start, farEnd_mm, () => true)
  if (!whole || whole.met < LEAST_STATIONS || whole.met < LEAST_SHARE * whole.asked) return null
  const halves: MirrorPose[] = []
  for (const part of [0, 1]) {
    const half = yield* solve(stations, whole.pose, farEnd_mm, (i) => Math.floor(i / RUN) % 2 === part)
    if (half) halves.push(half.pose)
  }
  const told = symmetricEigen(correlationOf(withoutTwist(whole.normalMatrix), 4), 4).values[0]!
  return {
    pose: whole.pose,
    told,
    spread: spreadOf(halves),
    matched: whole.met / whole.asked,
    score_mm: whole.rms,
    rounds: whole.rounds,
  }
}

interface Solved {
  readonly pose: MirrorPose
  readonly met: number
  readonly asked: number
  readonly rms: number
  readonly normalMatrix: Float64Array
  readonly rounds: number
}

function* solve(
  s: TubeStations,
  start: MirrorPose,
  farEnd_mm: number,
  uses: (station: number) => boolean,
): Steps<Solved | null> {
  let pose = start
  let last: { met: number; asked: number; rms: number; normalMatrix: Float64Array } | null = null
  let scale = Infinity
  let rounds = 0
  while (rounds < ROUNDS) {
    yield 0
    const reach = REACH_mm[Math.min(rounds, REACH_mm.length - 1)]!
    const { normal, up, offset_mm: d, slope, twist } = pose
    const forward = axisOf(pose)
    const a = new Float64Array(UNKNOWNS * UNKNOWNS)
    const b = new Float64Array(UNKNOWNS)
    const sizes: number[] = []
    let met = 0
    let asked = 0
    let squares = 0
    for (let i = 0; i < s.count; i++) {
      if (!s.clean[i] || !uses(i)) continue
      asked++
      const x: Vec = [s.at[3 * i]!, s.at[3 * i + 1]!, s.at[3 * i + 2]!]
      const side = dot(normal, x) - d
      const ahead = dot(forward, x)
      const y = mirrored(x, normal, up, side, -(slope + twist * ahead) * side)
      const t: Vec = [s.along[3 * i]!, s.along[3 * i + 1]!, s.along[3 * i + 2]!]
      const meeting = meetAxis(s, y, mirrored(t, normal, up, dot(normal, t), 0), s.radius_mm[i]!, reach)
      if (!meeting) continue
      met++
      const off: Vec = [y[0] - meeting.at[0], y[1] - meeting.at[1], y[2] - meeting.at[2]]
      const [e1, e2] = acrossBoth(meeting.along)
      const r1 = dot(off, e1)
      const r2 = dot(off, e2)
      const size2 = r1 * r1 + r2 * r2
      sizes.push(Math.sqrt(size2))
      const damp = 1 / (1 + size2 / (scale * scale))
      const w = damp * damp
      squares += w * size2
      for (const [m, r] of [
        [e1, r1],
        [e2, r2],
      ] as const) {
        const mn = dot(m, normal)
        const mu = dot(m, up)
        const row = [
          -2 * (ahead * mn + side * dot(m, forward)),
          -2 * (dot(up, x) * mn + side * mu),
          2 * mn,
          -side * mu,
          -side * mu * ahead,
        ]
        for (let p = 0; p < UNKNOWNS; p++) {
          b[p]! -= w * row[p]! * r
          for (let q = 0; q < UNKNOWNS; q++) a[UNKNOWNS * p + q]! += w * row[p]! * row[q]!
        }
      }
    }
    rounds++
    const step = met < 20 ? null : solveStep(a, b, 'plane-and-slope')
    if (!step) return null
    pose = movedPose(pose, step)
    last = { met, asked, rms: Math.sqrt(squares / met), normalMatrix: a }
    sizes.sort((p, q) => p - q)
    scale = 4 * (sizes[sizes.length >> 1] ?? 0) + 1e-3
    if (rounds > 3 && movement_mm(step, farEnd_mm) < STILL_mm) break
  }
  return last && { ...last, pose, rounds }
}

const mirrored = (x: Vec, n: Vec, up: Vec, side: number, lift: number): Vec => [
  x[0] - 2 * side * n[0] + lift * up[0],
  x[1] - 2 * side * n[1] + lift * up[1],
  x[2] - 2 * side * n[2] + lift * up[2],
]

function acrossBoth(t: Vec): [Vec, Vec] {
  const lean = Math.abs(t[0]) < 0.6 ? 0 : Math.abs(t[1]) < 0.6 ? 1 : 2
  const raw: Vec = [
    (lean === 0 ? 1 : 0) - t[lean]! * t[0],
    (lean === 1 ? 1 : 0) - t[lean]! * t[1],
    (lean === 2 ? 1 : 0) - t[lean]! * t[2],
  ]
  const l = Math.sqrt(dot(raw, raw))
  const e1: Vec = [raw[0] / l, raw[1] / l, raw[2] / l]
  return [e1, cross(t, e1)]
}
