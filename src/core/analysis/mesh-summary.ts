/** What kind of mesh this is: the first lines of a check. */
import { type Adjacency, isClosed } from '../geometry/adjacency'
import { boundaryLoops, islands } from '../geometry/islands'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import type { MeshSummary } from './types'

/** @param known what the reader of the file found out already: it wins */
export function* meshSummary(mesh: Mesh, neighbours: Adjacency, known: Partial<MeshSummary> = {}): Steps<MeshSummary> {
  const vertices = vertexCount(mesh)
  const mass = yield* within(0, 0.3, 'mesh', massProperties(mesh))
  const loops = yield* within(0.3, 0.5, 'mesh', boundaryLoops(mesh.indices, vertices, neighbours.across))
  const pieces = yield* within(0.5, 1, 'mesh', islands(mesh.indices, vertices))
  return {
    facets: facetCount(mesh),
    vertices,
    unit: 'mm',
    closed: isClosed(neighbours),
    area_mm2: mass.area_mm2,
    volume_mm3: mass.volume_mm3,
    boundaryLoops: loops.count,
    islands: pieces.count,
    nonManifoldEdges: neighbours.nonManifoldEdges,
    rejected: { total: 0 },
    ...known,
  }
}
