/** Areas, normals and neighbours of facets, as the sheet needs them to draw. Plain arrays; results of steps stay as they are. */
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'

/** Unit normals, three per facet (0,0,0 where it has no area), and areas in mm2. */
export function facetNormals(mesh: Mesh): { normals: Float32Array; area_mm2: Float32Array } {
  const { positions: p, indices } = mesh
  const count = indices.length / 3
  const normals = new Float32Array(count * 3)
  const area_mm2 = new Float32Array(count)
  for (let f = 0; f < count; f++) {
    const a = indices[f * 3]! * 3
    const b = indices[f * 3 + 1]! * 3
    const c = indices[f * 3 + 2]! * 3
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const vx = p[c]! - p[a]!
    const vy = p[c + 1]! - p[a + 1]!
    const vz = p[c + 2]! - p[a + 2]!
    const x = uy * vz - uz * vy
    const y = uz * vx - ux * vz
    const z = ux * vy - uy * vx
    const twice = Math.sqrt(x * x + y * y + z * z)
    area_mm2[f] = twice / 2
    if (twice === 0) continue
    normals[f * 3] = x / twice
    normals[f * 3 + 1] = y / twice
    normals[f * 3 + 2] = z / twice
  }
  return { normals, area_mm2 }
}

/** Facets at each vertex: those of vertex v are `facets[first[v] … first[v + 1])`. */
function facetsAtVertices(mesh: Mesh): { first: Uint32Array; facets: Uint32Array } {
  const { indices } = mesh
  const vertices = mesh.positions.length / 3
  const first = new Uint32Array(vertices + 1)
  for (const v of indices) first[v + 1]!++
  for (let v = 0; v < vertices; v++) first[v + 1]! += first[v]!
  const next = first.slice(0, vertices)
  const facets = new Uint32Array(indices.length)
  for (let c = 0; c < indices.length; c++) {
    const v = indices[c]!
    facets[next[v]!] = (c / 3) | 0
    next[v]!++
  }
  return { first, facets }
}

/** Area-weighted normals, three per vertex. */
export function vertexNormals(mesh: Mesh, normals: Float32Array, area_mm2: Float32Array): Float32Array {
  const out = new Float32Array(mesh.positions.length)
  const { indices } = mesh
  for (let c = 0; c < indices.length; c++) {
    const f = (c / 3) | 0
    const v = indices[c]! * 3
    const w = area_mm2[f]!
    out[v]! += normals[f * 3]! * w
    out[v + 1]! += normals[f * 3 + 1]! * w
    out[v + 2]! += normals[f * 3 + 2]! * w
  }
  for (let v = 0; v < out.length; v += 3) {
    const length = Math.sqrt(out[v]! ** 2 + out[v + 1]! ** 2 + out[v + 2]! ** 2) || 1
    out[v]! /= length
    out[v + 1]! /= length
    out[v + 2]! /= length
  }
  return out
}

/** Normals per corner (nine per facet), averaged over the facets at the vertex that turn less than the crease. */
export function cornerNormals(
  mesh: Mesh,
  normals: Float32Array,
  area_mm2: Float32Array,
  crease_cos = 0.82,
): Float32Array {
  const { indices } = mesh
  const { first, facets } = facetsAtVertices(mesh)
  const out = new Float32Array(indices.length * 3)
  for (let c = 0; c < indices.length; c++) {
    const f = ((c / 3) | 0) * 3
    const nx = normals[f]!
    const ny = normals[f + 1]!
    const nz = normals[f + 2]!
    let x = 0
    let y = 0
    let z = 0
    const v = indices[c]!
    for (let i = first[v]!; i < first[v + 1]!; i++) {
      const g = facets[i]! * 3
      const gx = normals[g]!
      const gy = normals[g + 1]!
      const gz = normals[g + 2]!
      if (nx * gx + ny * gy + nz * gz < crease_cos) continue
      const w = area_mm2[facets[i]!]!
      x += gx * w
      y += gy * w
      z += gz * w
    }
    const length = Math.sqrt(x * x + y * y + z * z) || 1
    out[c * 3] = x / length
    out[c * 3 + 1] = y / length
    out[c * 3 + 2] = z / length
  }
  return out
}

/**
 * Area-weighted mean over the facets at each vertex; facets without an answer (NaN) are left out. With a copy for drawing, at
 * each vertex of the copy over all facets of the whole mesh that have a corner there: those too that the copy does not draw.
 */
export function vertexMeans(
  mesh: Mesh,
  values: Float32Array,
  area_mm2: Float32Array,
  most: number,
  copy: DisplayCopy | null = null,
): Float32Array {
  const vertices = (copy?.mesh ?? mesh).positions.length / 3
  const clusterOf = copy?.clusterOf
  const sum = new Float64Array(vertices)
  const weight = new Float64Array(vertices)
  const { indices } = mesh
  for (let c = 0; c < indices.length; c++) {
    const f = (c / 3) | 0
    const value = values[f]!
    if (Number.isNaN(value)) continue
    const v = clusterOf ? clusterOf[indices[c]!]! : indices[c]!
    sum[v]! += Math.min(Math.max(value, -most), most) * area_mm2[f]!
    weight[v]! += area_mm2[f]!
  }
  const means = new Float32Array(vertices)
  for (let v = 0; v < vertices; v++) means[v] = weight[v]! > 0 ? sum[v]! / weight[v]! : Number.NaN
  return means
}

export interface Edges {
  /** Two vertex numbers per edge. */
  readonly ends: Uint32Array
  /** The two facets at each edge; −1 where there is only one. */
  readonly facets: Int32Array
}

/** Every edge once. An edge with more than two facets keeps the first two. */
export function edgesOf(mesh: Mesh): Edges {
  const { indices } = mesh
  const vertices = mesh.positions.length / 3
  // Half edges sorted by their lower vertex: a counting sort, then a short search within one vertex.
  const first = new Uint32Array(vertices + 1)
  const low = (c: number) => Math.min(indices[c]!, indices[nextCorner(c)]!)
  for (let c = 0; c < indices.length; c++) first[low(c) + 1]!++
  for (let v = 0; v < vertices; v++) first[v + 1]! += first[v]!
  const filled = first.slice(0, vertices)
  const upper = new Uint32Array(indices.length)
  const edgeAt = new Uint32Array(indices.length)
  const ends = new Uint32Array(indices.length * 2)
  const facets = new Int32Array(indices.length * 2).fill(-1)
  let count = 0
  for (let c = 0; c < indices.length; c++) {
    const a = low(c)
    const b = Math.max(indices[c]!, indices[nextCorner(c)]!)
    let edge = -1
    for (let i = first[a]!; i < filled[a]!; i++) if (upper[i] === b) edge = edgeAt[i]!
    if (edge < 0) {
      edge = count++
      upper[filled[a]!] = b
      edgeAt[filled[a]!] = edge
      filled[a]!++
      ends[edge * 2] = a
      ends[edge * 2 + 1] = b
      facets[edge * 2] = (c / 3) | 0
    } else if (facets[edge * 2 + 1]! < 0) facets[edge * 2 + 1] = (c / 3) | 0
  }
  return { ends: ends.slice(0, count * 2), facets: facets.slice(0, count * 2) }
}

const nextCorner = (c: number): number => (c % 3 === 2 ? c - 2 : c + 1)

/** Positions (six per segment) of the edges for which `draw` says yes. */
export function edgeSegments(mesh: Mesh, edges: Edges, draw: (f: number, g: number) => boolean): Float32Array {
  const picked: number[] = []
  for (let e = 0; e < edges.ends.length / 2; e++)
    if (draw(edges.facets[e * 2]!, edges.facets[e * 2 + 1]!)) picked.push(e)
  const out = new Float32Array(picked.length * 6)
  const { positions, origin } = mesh
  picked.forEach((e, i) => {
    for (let end = 0; end < 2; end++)
      for (let k = 0; k < 3; k++) out[i * 6 + end * 3 + k] = positions[edges.ends[e * 2 + end]! * 3 + k]! + origin[k]!
  })
  return out
}
