/** How near the inner surface comes to every facet of the metal: the gap map seen from the other side, made when it is asked for. */
import { closestPoint, makeNearest } from '../geometry/closest-point'
import { type FacetField, facetField } from '../geometry/facet-field'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { EXACT_MM, largestOf, MAP_MM } from './clearance'
import { facetGaps } from './facet-gaps'

export interface MetalMapRequest {
  readonly frame: Mesh<'job'>
  /** Moulded face of the underside. */
  readonly face: Mesh<'job'>
  /** Gap of each facet of the frame, mm, or one for all. */
  readonly gap: number | Float32Array
}

export interface MetalMap {
  /** Distance of each facet of the frame to the face, mm: exact up to `EXACT_MM` beyond the largest gap, that of its middle up to 100, Infinity beyond. */
  readonly gap: FacetField
  /** 1 where a facet's own gap is not kept. One per facet. */
  readonly fails: Uint8Array
}

/** @example drain(metalMap({ frame, face: result.underside.face, gap: 12 })).gap.values */
export function* metalMap({ frame, face, gap }: MetalMapRequest): Steps<MetalMap> {
  const metal = yield* within(0, 0.2, 'search tree', buildTriangleTree(frame))
  const tree = yield* within(0.2, 0.25, 'search tree', buildTriangleTree(face))
  const exact = yield* within(0.25, 0.8, 'distances', facetGaps(metal, tree, 0, largestOf(gap) + EXACT_MM))
  const values = Float32Array.from(exact.distance)
  const fails = new Uint8Array(values.length)
  const near = makeNearest()
  const { positions, indices, origin } = frame
  const middle = (f: number, k: number) =>
    (positions[3 * indices[3 * f]! + k]! +
      positions[3 * indices[3 * f + 1]! + k]! +
      positions[3 * indices[3 * f + 2]! + k]!) /
      3 +
    origin[k]!
  let seed = -1
  for (let f = 0; f < values.length; f++) {
    if (f % BLOCK === 0) yield { fraction: 0.8 + (0.2 * f) / values.length, label: 'map' }
    if (exact.distance[f]! < Infinity) {
      // The unrounded distance is judged.
      if (exact.distance[f]! < (typeof gap === 'number' ? gap : gap[f]!)) fails[f] = 1
      continue
    }
    closestPoint(tree, middle(f, 0), middle(f, 1), middle(f, 2), MAP_MM, near, seed)
    if (near.facet < 0) continue
    seed = near.facet
    values[f] = near.distance
  }
  return { gap: facetField(frame, values, 'mm'), fails }
}
