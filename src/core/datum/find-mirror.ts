import type { Steps } from '../geometry/kernel'
import { pointGrid } from '../geometry/point-grid'
import { type PrincipalAxes, principalAxes } from '../geometry/principal-axes'
import { sampleSurface } from '../geometry/sample-surface'
import { across, dot, unit, type Vec } from '../geometry/vectors'
import { CAP_mm, type MatchRound, type MirrorMatch, makeMatch, matchRound } from './mirror-match'
import { type MirrorPose, poseAbout } from './mirror-pose'

/** A plane about which the metal might be symmetric, with how well it is. */
export interface MirrorCandidate {
  readonly pose: MirrorPose
  /** Mean capped distance, mm: 0.6–1.1 for the right plane of a scanned frame, 4–10 for the fore-aft near miss. */
  readonly score_mm: number
  readonly matched: number
  /** Vertices of the coarse sample that met a partner: metal that both sides have. */
  readonly paired: Uint32Array
}

export interface FoundMirrors {
  /** Different planes, best first. */
  readonly candidates: readonly MirrorCandidate[]
  readonly principal: PrincipalAxes
  /** True when the three principal planes left it open and a sweep of directions was made. */
  readonly swept: boolean
}

/** Samples against targets in the coarse search. */
const SAMPLES = 1500
const TARGETS = 20_000
/** Widest search, mm, and its own few targets in wide cells: 20,000 of them in 30 mm cells made a sweep take 9 s. */
const WIDE_mm = 150
const WIDE_TARGETS = 4000
/** Shrinking reach of the coarse search, mm, and which share of the sample is asked there: wide searches are the dear ones. */
const STAGES = [
  { reach_mm: WIDE_mm, parts: 3 },
  { reach_mm: 80, parts: 2 },
  { reach_mm: 40, parts: 1 },
] as const
const ROUNDS = 10
/** cos 60°. */
const COSINE = 0.5
const KEEP = 0.8

/** Two planes nearer than this are one: sine of the angle, and mm at the middle. */
const SAME_SINE = 0.03
const SAME_mm = 20

/** A runner-up must be at least this many times worse. */
export const CLEAR_FACTOR = 2
/** Planes this good are equally good, mm: the difference is chance (or rounding, on a drawn solid). */
const EQUALLY_GOOD_mm = 0.2

/** Is the second plane so much worse than the first that nobody needs to look? */
export const clearlyWorse = (second: MirrorCandidate, first: MirrorCandidate): boolean =>
  second.score_mm >= CLEAR_FACTOR * Math.max(first.score_mm, EQUALLY_GOOD_mm)

/**
 * Looks for the planes of symmetry of a surface from its points alone: the three principal planes, refined; when they leave
 * the choice open, a sweep of directions.
 *
 * @param points  three per vertex, mm about a place near their middle
 * @param normals unit, three per vertex
 * @param area    mm2, one per vertex
 * @param thoroughly false: no sweep, however open the choice
 */
export function* findMirrors(
  points: Float32Array,
  normals: Float32Array,
  area: Float32Array,
  seed: number,
  thoroughly = true,
): Steps<FoundMirrors> {
  const principal = principalAxes(points, area)
  yield 0.05
  const targets = sampleSurface(area, TARGETS, seed + 1)
  const totalArea = area.reduce((sum, a) => sum + a, 0)
  // About two spacings of the targets, so that a cell holds a handful.
  const cell_mm = Math.max(4, 2.5 * Math.sqrt(totalArea / Math.max(1, targets.vertex.length)))
  const grid = pointGrid(points, cell_mm, targets.vertex)
  const sample = sampleSurface(area, SAMPLES, seed)
  const wideTargets = sampleSurface(area, WIDE_TARGETS, seed + 2)
  const wide = makeMatch(points, normals, pointGrid(points, WIDE_mm / 2, wideTargets.vertex), sample)
  const fresh = () => ({ near: makeMatch(points, normals, grid, sample), wide })
  yield 0.1

  const found: MirrorCandidate[] = []
  for (const [i, axis] of principal.axes.entries()) {
    const start = poseAbout(axis, dot(axis, principal.middle), principal.axes[(i + 1) % 3]!)
    const candidate = yield* refineCoarse(fresh(), start)
    if (candidate) found.push(candidate)
    yield 0.1 + 0.2 * (i + 1)
  }
  let candidates = distinct(found)
  if (isClear(candidates) || !thoroughly) return { candidates, principal, swept: false }

  for (const start of yield* sweep(wide, points, principal)) {
    const candidate = yield* refineCoarse(fresh(), start)
    if (candidate) found.push(candidate)
    yield 0.95
  }
  candidates = distinct(found)
  return { candidates, principal, swept: true }
}

/** One plane that is good, and no other half as good. */
export function isClear(candidates: readonly MirrorCandidate[]): boolean {
  const [best, next] = candidates
  if (!best || best.score_mm > 0.3 * CAP_mm) return false
  return !next || clearlyWorse(next, best)
}

interface Grids {
  readonly near: MirrorMatch
  readonly wide: MirrorMatch
}

function* refineCoarse({ near, wide }: Grids, start: MirrorPose): Steps<MirrorCandidate | null> {
  let pose = start
  let candidate: MirrorCandidate | null = null
  for (const { reach_mm, parts } of STAGES) {
    const match = reach_mm === WIDE_mm ? wide : near
    match.partner.fill(-1)
    const round: MatchRound = { reach_mm, cosine: COSINE, keep: KEEP, solve: 'plane', parts, part: 0, run: 1 }
    for (let i = 0; i < ROUNDS; i++) {
      const result = matchRound(match, pose, round)
      yield 0
      if (!result) return candidate
      const paired = match.sample.vertex.filter((_, n) => match.partner[n]! >= 0)
      candidate = { pose, score_mm: result.score_mm, matched: result.matched, paired }
      pose = result.pose
      // The coarse plane only has to lie within the reach of the fine one.
      const turn = Math.abs(result.moved.yaw) + Math.abs(result.moved.roll)
      if (turn * 1500 + Math.abs(result.moved.offset_mm) < 0.02 * reach_mm) break
    }
  }
  return candidate
}

function distinct(found: readonly MirrorCandidate[]): MirrorCandidate[] {
  const out: MirrorCandidate[] = []
  for (const c of [...found].sort((a, b) => a.score_mm - b.score_mm)) {
    const same = out.some(({ pose }) => {
      const cosine = dot(pose.normal, c.pose.normal)
      if (1 - cosine * cosine > SAME_SINE * SAME_SINE) return false
      const sign = cosine < 0 ? -1 : 1
      return Math.abs(pose.offset_mm - sign * c.pose.offset_mm) < SAME_mm
    })
    if (!same) out.push(c)
  }
  return out
}

/**
 * Directions over half a sphere × two offsets (the middle by area, the middle of the extent), the ten best by the share
 * that finds a partner at a wide reach. Needed when a quarter of the metal is missing: the principal axes are then too far off.
 */
function* sweep(match: MirrorMatch, points: Float32Array, principal: PrincipalAxes): Steps<MirrorPose[]> {
  const scored: { pose: MirrorPose; score: number }[] = []
  let tried = 0
  for (const normal of halfSphere(principal)) {
    let low = Infinity
    let high = -Infinity
    for (const v of match.sample.vertex) {
      const s = normal[0] * points[3 * v]! + normal[1] * points[3 * v + 1]! + normal[2] * points[3 * v + 2]!
      if (s < low) low = s
      if (s > high) high = s
    }
    for (const offset of [dot(normal, principal.middle), (low + high) / 2]) {
      const up = Math.abs(normal[2]) < 0.8 ? across([0, 0, 1], normal) : across([1, 0, 0], normal)
      const pose = poseAbout(normal, offset, up)
      match.partner.fill(-1)
      const round: MatchRound = { reach_mm: WIDE_mm, cosine: 0, keep: KEEP, solve: 'plane', parts: 8, part: 0, run: 1 }
      const result = matchRound(match, pose, round)
      if (result) scored.push({ pose: result.pose, score: result.score_mm })
    }
    if (tried++ % 8 === 0) yield 0.7 + (0.2 * tried) / 432
  }
  return scored
    .sort((a, b) => a.score - b.score)
    .slice(0, 10)
    .map((s) => s.pose)
}

/** 432 directions over half a sphere, about 8 degrees apart: cells of three faces of a cube (no sines needed), turned with the metal. */
function* halfSphere(principal: PrincipalAxes): Generator<Vec> {
  const n = 12
  for (let axis = 0; axis < 3; axis++)
    for (let i = 0; i < n; i++)
      for (let j = 0; j < n; j++) {
        const local = [0, 0, 0]
        local[axis] = 1
        local[(axis + 1) % 3] = (2 * i + 1) / n - 1
        local[(axis + 2) % 3] = (2 * j + 1) / n - 1
        const [a, b, c] = principal.axes
        yield unit([
          local[0]! * a[0] + local[1]! * b[0] + local[2]! * c[0],
          local[0]! * a[1] + local[1]! * b[1] + local[2]! * c[1],
          local[0]! * a[2] + local[1]! * b[2] + local[2]! * c[2],
        ])
      }
}
