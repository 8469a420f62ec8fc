import { solveNormal } from '../geometry/solve-normal'
import { cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'

/**
 * A mirror plane with sides at different heights: `y = x − 2(n·x − d)n`, then `y += (slope + twist·X)·L·up`, with L the signed
 * distance of y from the plane and X its place along `axisOf` the pose (aft, when the normal points to port).
 */
export interface MirrorPose {
  readonly normal: Vec
  /** mm, `normal · x` on the plane. */
  readonly offset_mm: number
  /** Unit, across the normal: the direction in which one side may stand higher. */
  readonly up: Vec
  /** The metal on the side the normal points to stands higher by `slope` × distance from the plane. */
  readonly slope: number
  /** Change of the slope along `axisOf`, 1/mm: a frame whose corners stand up and down in turn. */
  readonly twist: number
}

/** Turn of the normal about `up` (yaw) and about the fore-aft axis (roll), radians; shift, mm; slope; twist, 1/mm. */
export interface PoseStep {
  readonly yaw: number
  readonly roll: number
  readonly offset_mm: number
  readonly slope: number
  readonly twist: number
}

/** How many unknowns a step has; in the order of `PoseStep`. */
export const UNKNOWNS = 5

/** What a round may move: the plane alone, the plane with slope and twist, or (on a given plane) slope and twist alone. */
export type Unknowns = 'plane' | 'plane-and-slope' | 'slope'

const PARTS: Record<Unknowns, readonly number[]> = {
  plane: [0, 1, 2],
  'plane-and-slope': [0, 1, 2, 3, 4],
  slope: [3, 4],
}

/** The fore-aft axis of a pose, `up × normal`: a turn about `up` moves the normal along it. Points aft when the normal points to port. */
export const axisOf = (pose: MirrorPose): Vec => cross(pose.up, pose.normal)

/** A pose with `up` put across the normal. */
export function poseAbout(normal: Vec, offset_mm: number, up: Vec, slope = 0, twist = 0): MirrorPose {
  return { normal, offset_mm, up: unit(plus(up, normal, -dot(up, normal))), slope, twist }
}

export function movedPose(pose: MirrorPose, step: PoseStep): MirrorPose {
  const normal = unit(plus(plus(pose.normal, axisOf(pose), step.yaw), pose.up, step.roll))
  return poseAbout(normal, pose.offset_mm + step.offset_mm, pose.up, pose.slope + step.slope, pose.twist + step.twist)
}

/** The same plane named from its other side: L and X change sign, so the slope does and the twist does not. */
export const turnedPose = (pose: MirrorPose): MirrorPose => ({
  ...pose,
  normal: scaled(pose.normal, -1),
  offset_mm: -pose.offset_mm,
  slope: -pose.slope,
})

/** Turned over about forward: L and up change sign together, so slope and twist stay. */
export const overturnedPose = (pose: MirrorPose): MirrorPose => ({
  ...pose,
  normal: scaled(pose.normal, -1),
  offset_mm: -pose.offset_mm,
  up: scaled(pose.up, -1),
})

/**
 * Solves the normal equations for the unknowns that are asked, the others stay.
 *
 * @param a 5 × 5, symmetric and full; @param b right side
 * @returns null when the metal does not hold them
 */
export function solveStep(a: Float64Array, b: Float64Array, solve: Unknowns): PoseStep | null {
  const parts = PARTS[solve]
  const n = parts.length
  const small = new Float64Array(n * n)
  const x = new Float64Array(n)
  for (const [i, p] of parts.entries()) {
    x[i] = b[p]!
    for (const [j, q] of parts.entries()) small[i * n + j] = a[p * UNKNOWNS + q]!
  }
  if (!solveNormal(small, x, n)) return null
  const at = (p: number) => (parts.includes(p) ? x[parts.indexOf(p)]! : 0)
  return { yaw: at(0), roll: at(1), offset_mm: at(2), slope: at(3), twist: at(4) }
}

/** The part of the normal matrix without the twist, 4 × 4: what tells roll from a lowered side. */
export function withoutTwist(a: Float64Array): Float64Array {
  return Float64Array.from({ length: 16 }, (_, i) => a[Math.floor(i / 4) * UNKNOWNS + (i % 4)]!)
}

/** How much the far ends move in a step, mm; never judged by the offset alone (see `mirror-plane.ts`). */
export function movement_mm(step: PoseStep, farEnd_mm: number): number {
  const turns = Math.abs(step.yaw) + Math.abs(step.roll) + Math.abs(step.slope) + farEnd_mm * Math.abs(step.twist)
  return farEnd_mm * turns + Math.abs(step.offset_mm)
}
