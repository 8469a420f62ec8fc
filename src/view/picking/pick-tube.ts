/** The tube under a place of the metal, while the frame slip is open. */
import type { Stores } from '../../state/stores'
import type { Picked } from './pick'

/** Its id; null where the metal there is no tube, or another scan's than the tubes were found on. */
export function tubeUnder(stores: Stores, hit: Pick<Picked, 'kind' | 'facet'> | null): string | null {
  const { frame, datum } = stores.results.getState().steps
  if (hit?.kind !== 'frame' || stores.session.getState().slip !== 'frame' || !frame.result || !datum.result) return null
  const { tubes, tubeOfFacet } = frame.result
  if (tubeOfFacet.length * 3 !== datum.result.mesh.indices.length) return null
  return tubes[tubeOfFacet[hit.facet] ?? -1]?.id ?? null
}
