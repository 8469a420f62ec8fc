/** The state of a scan in numbers, each defect with a place to fly to. */
import { type Adjacency, adjacency, isClosed } from '../geometry/adjacency'
import { boundaryLoops } from '../geometry/islands'
import { type Steps, within } from '../geometry/kernel'
import { massProperties, meanEdge_mm } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { type EdgePlaces, edgePlaces } from './defect-places'
import { holes } from './holes'
import { noise } from './noise'
import { type Health, MOST_HOLES_LISTED } from './types'

/** What is known before the mesh is looked at. */
export type Before = Pick<Health, 'welded' | 'rejected' | 'islands' | 'islandsDropped' | 'facetsDropped'>

export interface Examined {
  readonly health: Health
  /** 1 for each vertex on a rim. One per vertex. */
  readonly rimVertex: Uint8Array
  readonly places: EdgePlaces
}

/**
 * @param known    adjacency of this very mesh, if it is at hand
 * @param noise_mm 1 sigma by the user's word; `null`: estimated from patches
 */
export function* examine(
  mesh: Mesh<'scan'>,
  before: Before,
  noise_mm: number | null,
  known: Adjacency | null,
): Steps<Examined> {
  const vertices = vertexCount(mesh)
  const edges = known ?? (yield* within(0, 0.4, 'neighbours', adjacency(mesh.indices, vertices)))
  const loops = yield* within(0.4, 0.45, 'rims', boundaryLoops(mesh.indices, vertices, edges.across))
  const rims = yield* within(0.45, 0.55, 'holes', holes(mesh, loops))
  const mass = yield* within(0.55, 0.65, 'volume', massProperties(mesh))
  const meanEdge = yield* within(0.65, 0.7, 'edges', meanEdge_mm(mesh))
  const estimated = noise_mm === null ? yield* within(0.7, 1, 'noise', noise(mesh, edges.across)) : null
  return {
    health: {
      facets: facetCount(mesh),
      vertices,
      ...before,
      boundaryEdges: edges.boundaryEdges,
      nonManifoldEdges: edges.nonManifoldEdges,
      inconsistentEdges: edges.inconsistentEdges,
      boundaryLoops: loops.count,
      holeCount: rims.holes.length,
      holes: rims.holes.slice(0, MOST_HOLES_LISTED),
      area_mm2: mass.area_mm2,
      volume_mm3: mass.volume_mm3,
      meanEdge_mm: meanEdge,
      noise_mm: noise_mm ?? estimated!.sigma_mm,
      noiseFrom: noise_mm === null ? 'patches' : 'user',
      closed: isClosed(edges),
    },
    rimVertex: rims.rimVertex,
    places: edgePlaces(mesh, edges),
  }
}
