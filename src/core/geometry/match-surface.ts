/** One round of laying one surface on another: places of the moving one against the nearest places of the standing one. */

import { type Matrix4, multiply } from './axes'
import { motionOf } from './best-motion'
import { closestPoint, makeNearest } from './closest-point'
import { FEATURE } from './point-triangle'
import { square } from './portable-math'
import { solveNormal } from './solve-normal'
import type { SurfacePlaces } from './surface-places'
import type { TriangleTree } from './triangle-tree'
import { weightedQuantile } from './weighted-quantile'

export interface SurfaceMatch {
  readonly places: SurfacePlaces
  readonly tree: TriangleTree
  /** Unit normals of the standing mesh, three per facet; 0 0 0 without area: such a facet is nobody's partner. */
  readonly facing: Float32Array
  /** 1 for each vertex of the standing mesh on the rim of a hole: a place that is nearest to a rim has no partner there. */
  readonly rimVertex: Uint8Array
  /** Facet met by each place in the last round, −1 for none: the next search starts from it. */
  readonly partner: Int32Array
}

export interface MatchRule {
  /** mm; nothing further away is a partner. */
  readonly reach_mm: number
  /** Least cosine between the moved normal and the partner's. */
  readonly cosine: number
  /** Share of the matched places that counts, by least distance. */
  readonly keep: number
  /** Every `parts`-th run of places beginning with run `part`. */
  readonly parts: number
  readonly part: number
}

export interface MatchStep {
  /** After the step. */
  readonly motion: Matrix4
  /** Largest movement of this step over the places' box, mm. */
  readonly moved_mm: number
  /** Normal matrix of turn (times `arm_mm`) and shift, per unit of weight, 6 × 6, about `middle`. */
  readonly normalMatrix: Float64Array
  readonly middle: readonly [number, number, number]
  /** Root mean square distance of the matched places from their middle, mm: makes a turn a length. */
  readonly arm_mm: number
  /** Share of the places with a partner. */
  readonly matched: number
  /** Mean distance capped at `reach_mm`, places without a partner counted as the cap. */
  readonly score_mm: number
  /** Before the step, signed (+ outside), NaN without a partner; one per place. */
  readonly distance: Float64Array
}

/** Places side by side on the metal err alike: the parts of a sample are cut in runs of this many. */
const RUN = 64
/** Keeps the freedoms of a plane or a ball from running away; a thousandth of a thousandth of what metal gives. */
const RIDGE = 1e-7

/**
 * Finds each moved place's nearest place on the standing surface and takes one Gauss-Newton step on the distances
 * (the point-to-plane rule of Y. Chen and G. Medioni, "Object modelling by registration of multiple range images", 1992;
 * partners on a rim are left out after G. Turk and M. Levoy, "Zippered polygon meshes from range images", 1994; the
 * farthest share is trimmed after D. Chetverikov et al., "The trimmed iterative closest point algorithm", 2002). Distances
 * within the kept share are weighted by 1/(1 + (r/c)²)², c from the median (Geman and McClure's weight).
 *
 * @returns null when fewer than 20 places met a partner
 */
export function matchSurface(match: SurfaceMatch, motion: Matrix4, rule: MatchRule): MatchStep | null {
  const { places, tree, facing, rimVertex, partner } = match
  const { points, normals } = places
  const { indices } = tree.mesh
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8, m9, m10, m11] = motion as unknown as Twelve
  const count = points.length / 3
  const near = makeNearest()
  const distance = new Float64Array(count).fill(Number.NaN)
  const size = new Float64Array(count).fill(Number.NaN)
  const place = new Float64Array(3 * count)
  const towards = new Float64Array(3 * count)
  let asked = 0
  let number = 0
  let capped = 0
  const middle: [number, number, number] = [0, 0, 0]
  for (let i = 0; i < count; i++) {
    if (rule.parts > 1 && Math.floor(i / RUN) % rule.parts !== rule.part) continue
    asked++
    capped += rule.reach_mm
    const px = points[3 * i]!
    const py = points[3 * i + 1]!
    const pz = points[3 * i + 2]!
    const x = m0 * px + m1 * py + m2 * pz + m3
    const y = m4 * px + m5 * py + m6 * pz + m7
    const z = m8 * px + m9 * py + m10 * pz + m11
    closestPoint(tree, x, y, z, rule.reach_mm, near, partner[i]!)
    partner[i] = near.facet
    if (near.facet < 0 || onRim(indices, rimVertex, near.facet, near.feature)) continue
    let nx = facing[3 * near.facet]!
    let ny = facing[3 * near.facet + 1]!
    let nz = facing[3 * near.facet + 2]!
    const sx = normals[3 * i]!
    const sy = normals[3 * i + 1]!
    const sz = normals[3 * i + 2]!
    const agree =
      nx * (m0 * sx + m1 * sy + m2 * sz) + ny * (m4 * sx + m5 * sy + m6 * sz) + nz * (m8 * sx + m9 * sy + m10 * sz)
    if (agree < rule.cosine) continue
    const dx = x - near.x
    const dy = y - near.y
    const dz = z - near.z
    const outside = nx * dx + ny * dy + nz * dz >= 0
    // At an edge or a corner no facet's plane is the right one: the way to the nearest place is.
    if (near.feature !== FEATURE.face && near.distance > 1e-6) {
      const sign = outside ? 1 / near.distance : -1 / near.distance
      nx = dx * sign
      ny = dy * sign
      nz = dz * sign
    }
    distance[i] = outside ? near.distance : -near.distance
    size[i] = near.distance
    capped += near.distance - rule.reach_mm
    place[3 * i] = x
    place[3 * i + 1] = y
    place[3 * i + 2] = z
    towards[3 * i] = nx
    towards[3 * i + 1] = ny
    towards[3 * i + 2] = nz
    middle[0] += x
    middle[1] += y
    middle[2] += z
    number++
  }
  if (number < 20) return null
  for (let k = 0; k < 3; k++) middle[k]! /= number
  const median = weightedQuantile(size, null, 0.5)
  const limit = weightedQuantile(size, null, rule.keep)
  const c2 = 16 * median * median + 1e-6
  let squares = 0
  for (let i = 0; i < count; i++) {
    if (!(size[i]! <= limit)) continue
    for (let k = 0; k < 3; k++) squares += square(place[3 * i + k]! - middle[k]!)
  }
  const arm = Math.sqrt(squares / (rule.keep * number)) || 1
  const a = new Float64Array(36)
  const b = new Float64Array(6)
  const row = new Float64Array(6)
  let weight = 0
  for (let i = 0; i < count; i++) {
    if (!(size[i]! <= limit)) continue
    const r = distance[i]!
    const damp = 1 / (1 + (r * r) / c2)
    const w = damp * damp
    const x = (place[3 * i]! - middle[0]) / arm
    const y = (place[3 * i + 1]! - middle[1]) / arm
    const z = (place[3 * i + 2]! - middle[2]) / arm
    const nx = towards[3 * i]!
    const ny = towards[3 * i + 1]!
    const nz = towards[3 * i + 2]!
    row[0] = y * nz - z * ny
    row[1] = z * nx - x * nz
    row[2] = x * ny - y * nx
    row[3] = nx
    row[4] = ny
    row[5] = nz
    weight += w
    for (let j = 0; j < 6; j++) {
      const wj = w * row[j]!
      b[j]! -= wj * r
      for (let k = 0; k <= j; k++) a[6 * j + k]! += wj * row[k]!
    }
  }
  for (let j = 0; j < 6; j++) {
    b[j]! /= weight
    for (let k = 0; k <= j; k++) a[6 * j + k]! /= weight
    for (let k = 0; k < j; k++) a[6 * k + j] = a[6 * j + k]!
  }
  const normalMatrix = a.slice()
  for (let j = 0; j < 6; j++) a[7 * j]! += RIDGE
  if (!solveNormal(a, b, 6)) return null
  return {
    motion: multiply(motionAbout(middle, arm, b), motion),
    moved_mm: farthestMove(place, size, middle, arm, b),
    normalMatrix,
    middle,
    arm_mm: arm,
    matched: number / asked,
    score_mm: capped / asked,
    distance,
  }
}

type Twelve = readonly [
  ...[number, number, number, number],
  ...[number, number, number, number],
  ...[number, number, number, number],
]

/**
 * A small turn and shift as a motion.
 *
 * @param step turn about x, y, z times `arm` and shift, all mm; the turn is taken as the quaternion (1, turn / 2), which is
 *   rigid at any size and needs no sine
 */
export function motionAbout(middle: readonly number[], arm: number, step: ArrayLike<number>): Matrix4 {
  const x = step[0]! / (2 * arm)
  const y = step[1]! / (2 * arm)
  const z = step[2]! / (2 * arm)
  const l = Math.sqrt(1 + x * x + y * y + z * z)
  return motionOf([1 / l, x / l, y / l, z / l], middle, [
    middle[0]! + step[3]!,
    middle[1]! + step[4]!,
    middle[2]! + step[5]!,
  ])
}

function farthestMove(
  place: Float64Array,
  size: Float64Array,
  middle: readonly number[],
  arm: number,
  step: ArrayLike<number>,
): number {
  let most = 0
  for (let i = 0; i < size.length; i += 7) {
    if (Number.isNaN(size[i]!)) continue
    const x = (place[3 * i]! - middle[0]!) / arm
    const y = (place[3 * i + 1]! - middle[1]!) / arm
    const z = (place[3 * i + 2]! - middle[2]!) / arm
    const dx = step[3]! + step[1]! * z - step[2]! * y
    const dy = step[4]! + step[2]! * x - step[0]! * z
    const dz = step[5]! + step[0]! * y - step[1]! * x
    most = Math.max(most, dx * dx + dy * dy + dz * dz)
  }
  return Math.sqrt(most)
}

/** Whether the nearest place lies on a rim: the surface may go on beyond it, so its distance says nothing. */
function onRim(indices: Uint32Array, rim: Uint8Array, facet: number, feature: number): boolean {
  if (feature === FEATURE.face) return false
  const at = (k: number) => rim[indices[3 * facet + k]!] === 1
  if (feature <= FEATURE.c) return at(feature - 1)
  return at(feature - 4) && at((feature - 3) % 3)
}
