/** Edges a drawing would show: free ones, and those where the surface turns sharply. Kept as long as the mesh is. */
import type { Mesh } from '../../core/geometry/mesh'
import { edgesOfMesh, facetNormalsOf } from '../geometry/facet-data'

export interface Features {
  /** One per corner c: 1 where the edge from corner c to the next corner of its facet is drawn. */
  readonly edge: Uint8Array
  /** One per vertex: how many drawn edges meet there, up to 255. */
  readonly count: Uint8Array
}

/** Facets that turn more than this against each other meet in a drawn edge: about 25°. */
const CREASE_COS = 0.906

const kept = new WeakMap<Mesh, Features>()

export function featuresOf(mesh: Mesh): Features {
  const known = kept.get(mesh)
  if (known) return known
  const { indices } = mesh
  const { normals } = facetNormalsOf(mesh)
  const { ends, facets } = edgesOfMesh(mesh)
  const edge = new Uint8Array(indices.length)
  const count = new Uint8Array(mesh.positions.length / 3)
  const mark = (f: number, a: number, b: number) => {
    for (let k = 0; k < 3; k++) {
      const from = indices[f * 3 + k]!
      const to = indices[f * 3 + ((k + 1) % 3)]!
      if ((from === a && to === b) || (from === b && to === a)) edge[f * 3 + k] = 1
    }
  }
  for (let e = 0; e < ends.length / 2; e++) {
    const f = facets[e * 2]!
    const g = facets[e * 2 + 1]!
    if (g >= 0) {
      let cos = 0
      for (let k = 0; k < 3; k++) cos += normals[f * 3 + k]! * normals[g * 3 + k]!
      if (cos > CREASE_COS) continue
    }
    const a = ends[e * 2]!
    const b = ends[e * 2 + 1]!
    mark(f, a, b)
    if (g >= 0) mark(g, a, b)
    if (count[a]! < 255) count[a]!++
    if (count[b]! < 255) count[b]!++
  }
  const features = { edge, count }
  kept.set(mesh, features)
  return features
}
