/** Mirror error of a part about a plane, as the check reports it. */
import type { Direction } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { mirrorError } from '../geometry/mirror-error'
import type { SymmetrySummary } from './types'

/**
 * Every vertex is mirrored and its exact distance to the mesh measured, weighted by area. A plane shifted by e shows as 2 e
 * (G63), one turned by α as 2 L sin α at distance L from the axis (G64): fit the plane first, and report it.
 *
 * @param rimVertex one per vertex, 1 on the rim of a hole: images that fall there are unseen and left out; `null`: all was seen
 */
export function* symmetry(
  mesh: Mesh,
  plane: { readonly normal: Direction; readonly offset_mm: number },
  rimVertex: Uint8Array | null,
): Steps<{ summary: SymmetrySummary; field: FacetField }> {
  const { error, field } = yield* mirrorError(mesh, plane, { rimVertex })
  return {
    summary: {
      plane: error.plane,
      rms_mm: error.rms_mm,
      p95_mm: error.p95_mm,
      max_mm: error.max_mm,
      maxAt: error.maxAt,
      unseen_mm2: error.unseen_mm2,
      portMinusStarboard_mm: error.portMinusStarboard_mm,
    },
    field,
  }
}
