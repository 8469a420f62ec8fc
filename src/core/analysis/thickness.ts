/** Thickness of a closed part: diameter of the largest ball inside that touches the surface there. */
import type { Point } from '../geometry/axes'
import { type FacetField, facetField } from '../geometry/facet-field'
import type { Steps } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetMiddle, type Mesh } from '../geometry/mesh'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { ballField } from './ball-field'

export interface Thickness {
  readonly min_mm: number
  readonly minAt: Point
  /** Percentiles by area. */
  readonly p01_mm: number
  readonly p50_mm: number
  /** Thickness above this was not looked for. */
  readonly limit_mm: number
  /** mm per facet; the limit where it is thicker, NaN without area. */
  readonly field: FacetField
}

/**
 * By the inscribed ball, not by a ray through: at 50 mm from the edge of a wedge of 20 degrees this reads 17.63 mm, a ray 18.20
 * (G34). Inside a round tube the ball touches a whole ring and the search is slow (0.1 to 1 ms a facet), so the limit should
 * be no more than what is asked about.
 *
 * @param limit_mm thickness above this is not looked for
 * @param noise_mm 1 sigma of the mesh
 */
export function* thickness(mesh: Mesh, limit_mm: number, noise_mm = 0): Steps<Thickness> {
  const shape = yield* facetShape(mesh)
  const { radius_mm } = yield* ballField(mesh, shape, { side: -1, limit_mm: limit_mm / 2, noise_mm })
  const values = radius_mm.map((r) => 2 * r)
  let least = -1
  for (let f = 0; f < values.length; f++)
    if (!Number.isNaN(values[f]!) && (least < 0 || values[f]! < values[least]!)) least = f
  return {
    min_mm: least < 0 ? Number.NaN : values[least]!,
    minAt: least < 0 ? mesh.origin : facetMiddle(mesh, least),
    p01_mm: weightedQuantile(values, shape.areas_mm2, 0.01),
    p50_mm: weightedQuantile(values, shape.areas_mm2, 0.5),
    limit_mm,
    field: facetField(mesh, values, 'mm'),
  }
}
