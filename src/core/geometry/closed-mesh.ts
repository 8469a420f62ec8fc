import { adjacency, isClosed } from './adjacency'
import { drain } from './kernel'
import { type Mesh, vertexCount } from './mesh'

/** True if every edge has two facets that run it in opposite directions. For parts of a few thousand facets: it does not yield. */
export const isClosedMesh = (mesh: Mesh): boolean => isClosed(drain(adjacency(mesh.indices, vertexCount(mesh))))
