import type { Steps } from '../geometry/kernel'
import { pointGrid } from '../geometry/point-grid'
import { sampleSurface } from '../geometry/sample-surface'
import { correlationOf } from '../geometry/solve-normal'
import { symmetricEigen } from '../geometry/symmetric-eigen'
import { type MatchRound, type MirrorMatch, makeMatch, matchRound, type RoundResult, WHOLE } from './mirror-match'
import { axisOf, type MirrorPose, movement_mm, type Unknowns, withoutTwist } from './mirror-pose'

/** The centreline plane with the lowered side, and how far it can be trusted. */
export interface MirrorPlane {
  readonly pose: MirrorPose
  /**
   * Least eigenvalue of the correlation-scaled normal matrix of yaw, roll, offset and slope: how well roll and a lowered
   * side are told apart. 4e-3 to 1.3e-2 with legs, 2e-4 to 3e-4 without.
   */
  readonly told: number
  /** Spread between two disjoint samples (roll and yaw in radians). Moving less than 0.01 mm per round is no accuracy; this is. */
  readonly spread: { readonly offset_mm: number; readonly roll: number; readonly yaw: number; readonly slope: number }
  readonly matched: number
  /** Mean capped distance of the last round, mm. */
  readonly score_mm: number
  readonly rounds: number
}

/** Below this, roll and lowered side cannot be told apart, and the split between them is luck. */
export const TOLD_LEAST = 1e-3

export interface MirrorSource {
  /** Three per vertex, mm about the area's middle. */
  readonly points: Float32Array
  readonly normals: Float32Array
  readonly area: Float32Array
  /** Half the length and half the width of the frame, mm: movement is judged at the far ends. */
  readonly farEnd_mm: number
}

/** How closely to look: all vertices as targets, or (as a check on another method) a thin sample of both. */
export interface MirrorEffort {
  readonly samples: number
  /** `null`: all vertices. */
  readonly targets: number | null
  readonly halves: boolean
}

/** Samples of the final match: 20,000 left one of twelve frames over 0.3 mm of lowered side at 8 mm edges. */
const FULL: MirrorEffort = { samples: 40_000, targets: null, halves: true }
export const CHECK: MirrorEffort = { samples: 6000, targets: 60_000, halves: false }
/** Samples while the plane still moves by more than a tenth of a millimetre a round. */
const FIRST_PARTS = 8
/** The two samples that are compared share no piece of tube longer than this many samples (some 150 mm): errors near each other are alike. */
const HALF_RUN = 256
const REACH_mm = 25
const COSINE = 0.85 // cos 32°
const KEEP = 0.85
const ROUNDS = 40
/** Movement of the far ends per round at which it stops, mm. */
const STILL_mm = 0.004

/**
 * The plane about which the plan view is symmetric, with the height difference of the two sides as an unknown of its own.
 *
 * A plain mirror match cannot do it: a side hanging lower, linear from the centreline, is to first order the same as a plane
 * rolled by half the angle, and that plane *is* the best fit whatever the weights. Only metal at other heights (legs) tells
 * the two apart: a roll moves feet sideways, a lowered side does not.
 *
 * @param start from the coarse search, `up` from level: not from raw principal axes, which one sheet of floor turns by 24°
 * @param solve 'slope' keeps the plane as it is (a plane given by hand) and only measures the lowered side about it
 */
export function* mirrorPlane(
  source: MirrorSource,
  start: MirrorPose,
  seed: number,
  solve: Unknowns = 'plane-and-slope',
  effort: MirrorEffort = FULL,
): Steps<MirrorPlane | null> {
  const { points, normals, area } = source
  const total = area.reduce((sum, a) => sum + a, 0)
  const targets = effort.targets === null ? null : sampleSurface(area, effort.targets, seed + 1).vertex
  const spacing = Math.sqrt(total / Math.max(1, targets ? targets.length : area.length))
  const grid = pointGrid(points, Math.max(3, 2.5 * spacing), targets)
  yield 0.1
  const match = makeMatch(points, normals, grid, sampleSurface(area, effort.samples, seed))
  const base = { reach_mm: REACH_mm, cosine: COSINE, keep: KEEP, solve }
  const few: MatchRound = { ...base, parts: FIRST_PARTS, part: 0, run: 1 }
  const rough = yield* untilStill(match, start, few, source.farEnd_mm, 0.05)
  if (!rough) return null
  yield 0.4
  const fine = yield* untilStill(match, rough.pose, { ...base, ...WHOLE }, source.farEnd_mm, STILL_mm)
  if (!fine) return null
  yield 0.8
  const halves: MirrorPose[] = []
  for (const part of effort.halves ? [0, 1] : []) {
    const half = yield* untilStill(
      match,
      fine.pose,
      { ...base, parts: 2, part, run: HALF_RUN },
      source.farEnd_mm,
      2 * STILL_mm,
      8,
    )
    if (half) halves.push(half.pose)
  }
  const told = symmetricEigen(correlationOf(withoutTwist(fine.normalMatrix), 4), 4).values[0]!
  return {
    pose: fine.pose,
    told: solve === 'plane-and-slope' ? told : 1,
    spread: spreadOf(halves),
    matched: fine.matched,
    score_mm: fine.score_mm,
    rounds: rough.rounds + fine.rounds,
  }
}

/**
 * Rounds until the far ends and the lowered rim stand still. The offset alone would stop too early: between roll and slope
 * runs a flat valley (7 to 27 rounds, where a plain match needs 3 to 5).
 */
function* untilStill(
  match: MirrorMatch,
  start: MirrorPose,
  round: MatchRound,
  farEnd_mm: number,
  still_mm: number,
  most = ROUNDS,
): Steps<(RoundResult & { readonly rounds: number }) | null> {
  let pose = start
  let last: RoundResult | null = null
  let rounds = 0
  while (rounds < most) {
    const result = matchRound(match, pose, round)
    rounds++
    yield 0
    if (!result) return null
    pose = result.pose
    last = result
    if (movement_mm(result.moved, farEnd_mm) < still_mm) break
  }
  return last && { ...last, rounds }
}

/** How far two poses lie apart, in the directions of the first. */
export function spreadOf(halves: readonly MirrorPose[]): MirrorPlane['spread'] {
  const [a, b] = halves
  if (!a || !b) return { offset_mm: Number.NaN, roll: Number.NaN, yaw: Number.NaN, slope: Number.NaN }
  const forward = axisOf(a)
  const along = (axis: readonly number[]) =>
    Math.abs(b.normal[0] * axis[0]! + b.normal[1] * axis[1]! + b.normal[2] * axis[2]!)
  return {
    offset_mm: Math.abs(a.offset_mm - b.offset_mm),
    roll: along(a.up),
    yaw: along(forward),
    slope: Math.abs(a.slope - b.slope),
  }
}
