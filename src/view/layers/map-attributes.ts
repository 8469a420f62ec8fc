/** The arrays a map is drawn from: a smooth value and a class at every corner, and the lines between classes. */
import type { Mesh } from '../../core/geometry/mesh'
import { NO_VALUE, turnedCorner } from '../geometry/build'
import { edgesOfMesh, facetNormalsOf } from '../geometry/facet-data'
import { edgeSegments, vertexMeans } from '../geometry/facets'
import { FAILS, UNSEEN } from '../maps/facet-classes'
import type { SheetMap } from '../maps/sheet-map'

/** No answer becomes a value beyond every scale. Changes the array it is given. */
export function vertexValues(means: Float32Array): Float32Array {
  for (let v = 0; v < means.length; v++) if (Number.isNaN(means[v]!)) means[v] = NO_VALUE
  return means
}

/** One value and one class per corner, in the order of `cornerGeometry`. */
export function cornerAttributes(map: SheetMap, turned: boolean): { values: Float32Array; classes: Uint8Array } {
  const { mesh } = map
  const { indices } = mesh
  const { area_mm2 } = facetNormalsOf(mesh)
  const most = Math.max(Math.abs(map.scale.to), Math.abs(map.scale.from)) * 1.5
  const means = vertexMeans(mesh, map.values, area_mm2, most)
  const values = new Float32Array(indices.length)
  const classes = new Uint8Array(indices.length)
  // A draft jumps at an edge: there the facet's own value is the truth, a mean would paint a seam.
  const own = map.unit === 'deg'
  for (let c = 0; c < indices.length; c++) {
    const f = (c / 3) | 0
    const value = own ? map.values[f]! : means[indices[turned ? turnedCorner(c) : c]!]!
    values[c] = Number.isNaN(value) ? NO_VALUE : Math.min(Math.max(value, -most), most)
    classes[c] = map.classes[f]!
  }
  return { values, classes }
}

/** Edges of what fails, and of what is unseen. */
export function classEdges(map: SheetMap): { fails: Float32Array; unseen: Float32Array } {
  const edges = edgesOfMesh(map.mesh)
  const is = (f: number, wanted: number) => f >= 0 && map.classes[f] === wanted
  return {
    fails: edgeSegments(map.mesh, edges, (f, g) => is(f, FAILS) !== is(g, FAILS)),
    unseen: edgeSegments(map.mesh, edges, (f, g) => is(f, UNSEEN) !== is(g, UNSEEN)),
  }
}

/** The free edge of an open face. */
export const freeEdges = (mesh: Mesh): Float32Array => edgeSegments(mesh, edgesOfMesh(mesh), (_, g) => g < 0)

/** Edges sharper than the crease: what a drawing shows of a fitting. */
export function sharpEdges(mesh: Mesh, crease_cos = 0.85): Float32Array {
  const { normals } = facetNormalsOf(mesh)
  return edgeSegments(mesh, edgesOfMesh(mesh), (f, g) => {
    if (g < 0) return true
    let cos = 0
    for (let k = 0; k < 3; k++) cos += normals[f * 3 + k]! * normals[g * 3 + k]!
    return cos < crease_cos
  })
}

/** Lines between the zones of a shell: crown, edge, skirt, flange. */
export const zoneEdges = (mesh: Mesh, zone: Uint8Array): Float32Array =>
  edgeSegments(mesh, edgesOfMesh(mesh), (f, g) => g >= 0 && zone[f] !== zone[g])
