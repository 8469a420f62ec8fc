/**
 * A scan of the mould or of the part, held against the face as planned. The two stand in the same axes already (`register`).
 *
 * Profile of a surface in the sense of ISO 1101: the tolerance zone of width t lies half on either side of the planned face,
 * so a place is within it while its distance from the face is at most t / 2. The fit is the best one of the whole scan, so
 * this is the form of the surface; where it stands is another tolerance.
 */
import { adjacency, RIM } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { closestPoint, makeNearest, type Nearest } from '../geometry/closest-point'
import { type FacetField, facetField } from '../geometry/facet-field'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { type FacetShape, facetShape } from '../geometry/measure'
import { facetCount, facetMiddle, type Mesh, vertexCount } from '../geometry/mesh'
import { asinDeg } from '../geometry/portable-math'
import { solveNormal } from '../geometry/solve-normal'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { weightedQuantile } from '../geometry/weighted-quantile'

export interface AsMadeOptions {
  /** Width of the profile zone, mm: half on either side. */
  readonly tolerance_mm: number
  /** What lies further from the face than this is not the part, mm; default 10. */
  readonly reach_mm?: number
}

export interface AsMade {
  readonly tolerance_mm: number
  /** Area of the scan within reach of the face, mm2, and the share of it that lies within the zone. */
  readonly measured_mm2: number
  readonly within: number
  /** Area of the scan out of reach: other things, or the part's other side. */
  readonly beyond_mm2: number
  /** Area of the face that the scan does not show, mm2. */
  readonly unseen_mm2: number
  /** Signed distances of the scan from the face, over its area: above 0 lies on the side where the face's normals point. mm */
  readonly mean_mm: number
  readonly rms_mm: number
  readonly p95_mm: number
  readonly highest_mm: number
  readonly lowest_mm: number
  readonly highestAt: Point | null
  readonly lowestAt: Point | null
  /** Least width of a zone about the face that holds all of it: twice the largest distance, mm. */
  readonly profile_mm: number
  /** How the crown is turned from its forward to its after end: port low forward and high aft is above 0. `null`: too little crown was seen. */
  readonly twist_deg: number | null
  /** How much higher the crown's port half stands than its starboard half, mean, mm. */
  readonly portMinusStarboard_mm: number | null
  /** On the planned face: signed distance to the scan, mm; NaN where it is not seen. */
  readonly deviation: FacetField
}

/** A facet of which the normal stands nearer to +z than 45 degrees is crown. */
const CROWN_COS = Math.SQRT1_2
const REACH_MM = 10

/**
 * @param scan in the axes of the face, its normals on the same side
 * @throws a defect for a mesh without facets
 * @example const { within, profile_mm } = yield* asMade(scan, shell.face, { tolerance_mm: 2 })
 */
export function* asMade(scan: Mesh, face: Mesh, options: AsMadeOptions): Steps<AsMade> {
  if (facetCount(scan) === 0 || facetCount(face) === 0) throw new Error('analysis: nothing to hold against nothing')
  const reach = options.reach_mm ?? REACH_MM
  const faceTree = yield* within(0, 0.1, 'search tree', buildTriangleTree(face))
  const faceShape = yield* within(0.2, 0.22, 'as made', facetShape(face))
  const scanShape = yield* within(0.22, 0.25, 'as made', facetShape(scan))
  const faceAcross = (yield* within(0.23, 0.24, 'as made', adjacency(face.indices, vertexCount(face)))).across
  const near = makeNearest()

  const n = facetCount(scan)
  const distance = new Float64Array(n)
  const weight = new Float64Array(n)
  let measured = 0
  let beyond = 0
  let inside = 0
  let sum = 0
  let squares = 0
  let highest = -1
  let lowest = -1
  // dev_z = a + b x + c y + d x y over the crown, about its middle: d is the twist.
  const crown: { x: number; y: number; z: number; w: number }[] = []
  let seed = -1
  for (let f = 0; f < n; f++) {
    if (f % BLOCK === 0) yield { fraction: 0.25 + (0.35 * f) / n, label: 'as made' }
    const [x, y, z] = facetMiddle(scan, f)
    const area = scanShape.areas_mm2[f]!
    closestPoint(faceTree, x, y, z, reach, near, seed)
    seed = near.facet
    if (
      near.facet < 0 ||
      onSide(faceShape.normals, near.facet, scanShape.normals, f) <= 0 ||
      beside(near, x, y, z, faceShape.normals, faceAcross)
    ) {
      beyond += area
      continue
    }
    const g = 3 * near.facet
    const side =
      (x - near.x) * faceShape.normals[g]! +
      (y - near.y) * faceShape.normals[g + 1]! +
      (z - near.z) * faceShape.normals[g + 2]!
    const d = side < 0 ? -near.distance : near.distance
    distance[f] = d
    weight[f] = area
    measured += area
    sum += area * d
    squares += area * d * d
    if (Math.abs(d) <= options.tolerance_mm / 2) inside += area
    if (highest < 0 || d > distance[highest]!) highest = f
    if (lowest < 0 || d < distance[lowest]!) lowest = f
    const up = faceShape.normals[g + 2]!
    if (up > CROWN_COS) crown.push({ x, y, z: d / up, w: area })
  }

  const { values, unmet_mm2 } = yield* within(0.6, 1, 'as made', offsetsOf(face, faceShape, scan, reach))
  const most = highest < 0 ? 0 : Math.max(Math.abs(distance[highest]!), Math.abs(distance[lowest]!))
  return {
    tolerance_mm: options.tolerance_mm,
    measured_mm2: measured,
    within: measured > 0 ? inside / measured : 0,
    beyond_mm2: beyond,
    unseen_mm2: unmet_mm2,
    mean_mm: measured > 0 ? sum / measured : 0,
    rms_mm: measured > 0 ? Math.sqrt(squares / measured) : 0,
    p95_mm: measured > 0 ? weightedQuantile(distance.map(Math.abs), weight, 0.95) : 0,
    highest_mm: highest < 0 ? 0 : distance[highest]!,
    lowest_mm: lowest < 0 ? 0 : distance[lowest]!,
    highestAt: highest < 0 ? null : facetMiddle(scan, highest),
    lowestAt: lowest < 0 ? null : facetMiddle(scan, lowest),
    profile_mm: 2 * most,
    ...twistOf(crown),
    deviation: facetField(face, values, 'mm'),
  }
}

export interface Offsets {
  /** One per facet of the face: signed distance of its middle from the other surface, mm; above 0 the other lies on the side where the face's normals point. NaN: nothing is there. */
  readonly values: Float32Array
  /** Area of the face that has nothing beside it within reach, mm2. */
  readonly unmet_mm2: number
}

/** The face's facets held against another surface that looks the same way. */
export function* offsetsOf(face: Mesh, shape: FacetShape, other: Mesh, reach_mm: number): Steps<Offsets> {
  const tree = yield* within(0, 0.2, 'search tree', buildTriangleTree(other))
  const otherShape = yield* within(0.2, 0.25, 'distances', facetShape(other))
  const { across } = yield* within(0.25, 0.3, 'distances', adjacency(other.indices, vertexCount(other)))
  const near = makeNearest()
  const values = new Float32Array(facetCount(face)).fill(Number.NaN)
  let unmet_mm2 = 0
  let seed = -1
  for (let f = 0; f < values.length; f++) {
    if (f % BLOCK === 0) yield { fraction: 0.3 + (0.7 * f) / values.length, label: 'distances' }
    const [x, y, z] = facetMiddle(face, f)
    closestPoint(tree, x, y, z, reach_mm, near, seed)
    seed = near.facet
    if (
      near.facet < 0 ||
      onSide(otherShape.normals, near.facet, shape.normals, f) <= 0 ||
      beside(near, x, y, z, otherShape.normals, across)
    ) {
      unmet_mm2 += shape.areas_mm2[f]!
      continue
    }
    const side =
      (near.x - x) * shape.normals[3 * f]! +
      (near.y - y) * shape.normals[3 * f + 1]! +
      (near.z - z) * shape.normals[3 * f + 2]!
    values[f] = side < 0 ? -near.distance : near.distance
  }
  return { values, unmet_mm2 }
}

/** Past the rim of a surface its nearest point is on the rim: that is no deviation, but a place that the surface does not have. */
function beside(
  near: Nearest,
  x: number,
  y: number,
  z: number,
  normals: ArrayLike<number>,
  across: Int32Array,
): boolean {
  const f = 3 * near.facet
  const weights = [1 - near.v - near.w, near.v, near.w]
  // Edge k runs from corner k on; the third corner weighs nothing on it.
  if (![0, 1, 2].some((k) => across[f + k] === RIM && weights[(k + 2) % 3]! < 1e-9)) return false
  const along = (x - near.x) * normals[f]! + (y - near.y) * normals[f + 1]! + (z - near.z) * normals[f + 2]!
  return Math.abs(along) < 0.95 * near.distance
}

/** Sign of how two facets face each other's way; the part's other side looks the other way. */
const onSide = (a: Float32Array | Float64Array, f: number, b: Float32Array | Float64Array, g: number): number =>
  a[3 * f]! * b[3 * g]! + a[3 * f + 1]! * b[3 * g + 1]! + a[3 * f + 2]! * b[3 * g + 2]!

function twistOf(crown: readonly { x: number; y: number; z: number; w: number }[]): {
  twist_deg: number | null
  portMinusStarboard_mm: number | null
} {
  if (crown.length < 16) return { twist_deg: null, portMinusStarboard_mm: null }
  let total = 0
  let mx = 0
  let my = 0
  let low = Infinity
  let high = -Infinity
  for (const { x, y, w } of crown) {
    total += w
    mx += w * x
    my += w * y
    low = Math.min(low, x)
    high = Math.max(high, x)
  }
  mx /= total
  my /= total
  // In units of half the length, so that the four unknowns weigh alike.
  const scale = Math.max(1e-9, (high - low) / 2)
  const normal = new Float64Array(16)
  const right = new Float64Array(4)
  const side = { port: 0, portArea: 0, starboard: 0, starboardArea: 0 }
  for (const { x, y, z, w } of crown) {
    const u = (x - mx) / scale
    const v = (y - my) / scale
    const row = [1, u, v, u * v]
    for (let i = 0; i < 4; i++) {
      right[i]! += w * row[i]! * z
      for (let j = 0; j < 4; j++) normal[4 * i + j]! += w * row[i]! * row[j]!
    }
    if (y > 0) {
      side.port += w * z
      side.portArea += w
    } else {
      side.starboard += w * z
      side.starboardArea += w
    }
  }
  const solved = solveNormal(normal, right, 4)
  // z = d·u·v with v = y / scale: the roll dz/dy differs by 2 d / scale between the ends u = −1 and u = 1.
  const slope = solved ? (-2 * right[3]!) / scale : null
  return {
    twist_deg: slope === null ? null : asinDeg(slope / Math.sqrt(1 + slope * slope)),
    portMinusStarboard_mm:
      side.portArea > 0 && side.starboardArea > 0
        ? side.port / side.portArea - side.starboard / side.starboardArea
        : null,
  }
}
