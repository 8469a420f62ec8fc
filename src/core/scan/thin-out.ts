/** The repair `thin`, and what there is to say about it. */
import type { Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { words } from './raw-mesh'
import { type Repaired, unchanged } from './repaired'
import { thin } from './thin'
import type { Repair } from './types'

/** @param number its place in the job, from 1 */
export function* thinOut(
  mesh: Mesh<'scan'>,
  unseenFacet: Uint8Array,
  how: Extract<Repair, { kind: 'thin' }>,
  number: number,
): Steps<Repaired> {
  const thinned = yield* thin(mesh, unseenFacet, how)
  const finding = { id: `scan.thinned.${number}`, step: 'scan', unit: 'mm', limit: how.deviation_mm } as const
  if (!thinned)
    return {
      ...unchanged(mesh, unseenFacet),
      findings: [
        {
          ...finding,
          severity: 'warning',
          message: `The scan was not thinned to edges of ${how.edge_mm} mm within ${how.deviation_mm} mm: its facets are as large already, or taking any away would move the surface further.`,
          advice: 'Allow a larger deviation (noise of the scan counts in it), ask for longer edges, or take it back.',
        },
      ],
    }
  const { deviation_mm } = thinned
  return {
    mesh: thinned.mesh,
    unseenFacet: thinned.unseenFacet,
    islandsDropped: 0,
    facetsDropped: 0,
    deviation_mm,
    findings: [
      {
        ...finding,
        severity: 'note',
        message: `The scan was thinned from ${words(facetCount(mesh))} to ${words(facetCount(thinned.mesh))} facets, edges of ${thinned.meanEdge_mm.toFixed(1)} mm on the mean; the two surfaces lie up to ${deviation_mm.toFixed(2)} mm apart, and half of that counts as noise.`,
        value: deviation_mm,
      },
    ],
  }
}
