/** Facet data of a mesh, worked out when first asked for and kept as long as the mesh itself is. */
import type { Mesh } from '../../core/geometry/mesh'
import { cornerNormals, type Edges, edgesOf, facetNormals, vertexNormals } from './facets'

interface Kept {
  normals?: { normals: Float32Array; area_mm2: Float32Array }
  vertexNormals?: Float32Array
  cornerNormals?: Float32Array
  edges?: Edges
}

const kept = new WeakMap<Mesh, Kept>()

const keptOf = (mesh: Mesh): Kept => {
  const known = kept.get(mesh)
  if (known) return known
  const fresh: Kept = {}
  kept.set(mesh, fresh)
  return fresh
}

export function facetNormalsOf(mesh: Mesh): { normals: Float32Array; area_mm2: Float32Array } {
  const k = keptOf(mesh)
  k.normals ??= facetNormals(mesh)
  return k.normals
}

export function vertexNormalsOf(mesh: Mesh): Float32Array {
  const k = keptOf(mesh)
  const { normals, area_mm2 } = facetNormalsOf(mesh)
  k.vertexNormals ??= vertexNormals(mesh, normals, area_mm2)
  return k.vertexNormals
}

export function cornerNormalsOf(mesh: Mesh): Float32Array {
  const k = keptOf(mesh)
  const { normals, area_mm2 } = facetNormalsOf(mesh)
  k.cornerNormals ??= cornerNormals(mesh, normals, area_mm2)
  return k.cornerNormals
}

export function edgesOfMesh(mesh: Mesh): Edges {
  const k = keptOf(mesh)
  k.edges ??= edgesOf(mesh)
  return k.edges
}
