/** What a repair gives back, and the two plainest: nothing changed, and only some facets kept. */
import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh, makeMesh, vertexCount } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'

export interface Repaired {
  readonly mesh: Mesh<'scan'>
  /** 1 for each facet that a fill has made: nobody saw metal there. One per facet. */
  readonly unseenFacet: Uint8Array
  readonly findings: readonly Finding[]
  readonly islandsDropped: number
  readonly facetsDropped: number
  /** Largest distance from the surface before, mm, where the repair moved it; left out where it did not. */
  readonly deviation_mm?: number
}

/** Only the facets that are wanted, with the vertices they need, in their order. */
export function* keep(
  mesh: Mesh<'scan'>,
  unseenFacet: Uint8Array,
  wanted: (facet: number) => boolean,
): Steps<{ mesh: Mesh<'scan'>; unseenFacet: Uint8Array }> {
  const { positions: p, indices } = mesh
  const facets = facetCount(mesh)
  const kept = new Uint32Array(indices.length)
  const unseen = new Uint8Array(facets)
  const place = new Int32Array(vertexCount(mesh)).fill(-1)
  let out = 0
  for (let f = 0; f < facets; f++) {
    if (f % BLOCK === 0) yield (0.7 * f) / facets
    if (!wanted(f)) continue
    unseen[out / 3] = unseenFacet[f]!
    for (let k = 0; k < 3; k++) {
      const v = indices[f * 3 + k]!
      kept[out++] = v
      place[v] = 0
    }
  }
  // Vertices keep their order, which is sorted in space.
  let vertices = 0
  for (let v = 0; v < place.length; v++) if (place[v] === 0) place[v] = vertices++
  const positions = new Float32Array(vertices * 3)
  for (let v = 0; v < place.length; v++) if (place[v]! >= 0) positions.set(p.subarray(v * 3, v * 3 + 3), place[v]! * 3)
  const packed = kept.slice(0, out)
  for (let i = 0; i < out; i++) packed[i] = place[packed[i]!]!
  yield 0.95
  return { mesh: makeMesh('scan', positions, packed, mesh.origin), unseenFacet: unseen.slice(0, out / 3) }
}

export const unchanged = (mesh: Mesh<'scan'>, unseenFacet: Uint8Array): Repaired => ({
  mesh,
  unseenFacet,
  findings: [],
  islandsDropped: 0,
  facetsDropped: 0,
})
