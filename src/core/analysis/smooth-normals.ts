/**
 * The normal of the surface behind the facets, and how far the facets stand off that surface (their sag).
 *
 * A facet's own normal at its middle biases a touching ball by a third on curved faces, at every fineness (a fillet of 12 read
 * 7.9); the angle-weighted mean of the neighbours does not. The mean stops at creases, or a sharp inside corner would be
 * given a radius.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import type { FacetShape } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'

/** Facets that differ by more than 30 degrees meet at a crease: cosine. */
export const CREASE_COS = 0.8660254037844387

export interface SmoothNormals {
  /** Unit normal at each facet's middle, three per facet; 0,0,0 without area. */
  readonly normals: Float32Array
  /** How far the facet's longest arc stands off its chord, mm, one per facet. */
  readonly sag_mm: Float32Array
}

/**
 * @param rounds how often the facets' normals are averaged with their neighbours' beforehand: 0 for exact meshes, 2 on noise
 */
export function* smoothNormals(mesh: Mesh, shape: FacetShape, rounds: number): Steps<SmoothNormals> {
  const { positions: p, indices } = mesh
  const facets = facetCount(mesh)
  const { start, facet } = facetsOfVertex(mesh)
  yield 0.1
  let own = shape.normals
  for (let round = 0; round < rounds; round++) {
    const mean = new Float32Array(own.length)
    for (let f = 0; f < facets; f++) {
      const nx = own[3 * f]!
      const ny = own[3 * f + 1]!
      const nz = own[3 * f + 2]!
      let x = 0
      let y = 0
      let z = 0
      for (let k = 0; k < 3; k++) {
        const v = indices[3 * f + k]!
        for (let at = start[v]!; at < start[v + 1]!; at++) {
          const g = 3 * facet[at]!
          if (nx * own[g]! + ny * own[g + 1]! + nz * own[g + 2]! < CREASE_COS) continue
          const area = shape.areas_mm2[g / 3]!
          x += area * own[g]!
          y += area * own[g + 1]!
          z += area * own[g + 2]!
        }
      }
      const length = Math.sqrt(x * x + y * y + z * z)
      if (length > 0) {
        mean[3 * f] = x / length
        mean[3 * f + 1] = y / length
        mean[3 * f + 2] = z / length
      }
      if (f % BLOCK === 0) yield 0.1 + (0.3 * (round + f / facets)) / rounds
    }
    own = mean
  }
  const normals = new Float32Array(3 * facets)
  const sag = new Float32Array(facets)
  const corner = new Float64Array(9)
  for (let f = 0; f < facets; f++) {
    const nx = own[3 * f]!
    const ny = own[3 * f + 1]!
    const nz = own[3 * f + 2]!
    for (let k = 0; k < 3; k++) {
      const v = indices[3 * f + k]!
      let x = 0
      let y = 0
      let z = 0
      for (let at = start[v]!; at < start[v + 1]!; at++) {
        const g = facet[at]!
        const gx = own[3 * g]!
        const gy = own[3 * g + 1]!
        const gz = own[3 * g + 2]!
        if (nx * gx + ny * gy + nz * gz < CREASE_COS) continue
        const angle = cornerAngle(p, indices, g, v)
        x += angle * gx
        y += angle * gy
        z += angle * gz
      }
      const length = Math.sqrt(x * x + y * y + z * z)
      corner[3 * k] = length > 0 ? x / length : nx
      corner[3 * k + 1] = length > 0 ? y / length : ny
      corner[3 * k + 2] = length > 0 ? z / length : nz
    }
    const x = corner[0]! + corner[3]! + corner[6]!
    const y = corner[1]! + corner[4]! + corner[7]!
    const z = corner[2]! + corner[5]! + corner[8]!
    const length = Math.sqrt(x * x + y * y + z * z)
    if (length > 0) {
      normals[3 * f] = x / length
      normals[3 * f + 1] = y / length
      normals[3 * f + 2] = z / length
    }
    // Along an arc of radius r the normals at the ends of a chord e turn by e / r, and the sag is e² / 8 r.
    let most = 0
    for (let k = 0; k < 3; k++) {
      const next = (k + 1) % 3
      const i = 3 * indices[3 * f + k]!
      const j = 3 * indices[3 * f + next]!
      const turn =
        (corner[3 * next]! - corner[3 * k]!) * (p[j]! - p[i]!) +
        (corner[3 * next + 1]! - corner[3 * k + 1]!) * (p[j + 1]! - p[i + 1]!) +
        (corner[3 * next + 2]! - corner[3 * k + 2]!) * (p[j + 2]! - p[i + 2]!)
      most = Math.max(most, Math.abs(turn) / 8)
    }
    sag[f] = most
    if (f % BLOCK === 0) yield 0.4 + (0.6 * f) / facets
  }
  return { normals, sag_mm: sag }
}

/** Facets around each vertex: vertex v has `facet[start[v]] … facet[start[v + 1] − 1]`. */
export function facetsOfVertex(mesh: Mesh): { start: Uint32Array; facet: Uint32Array } {
  const { indices } = mesh
  const start = new Uint32Array(vertexCount(mesh) + 1)
  for (let h = 0; h < indices.length; h++) start[indices[h]! + 1]!++
  for (let v = 1; v < start.length; v++) start[v]! += start[v - 1]!
  const at = start.slice()
  const facet = new Uint32Array(indices.length)
  for (let h = 0; h < indices.length; h++) facet[at[indices[h]!]!++] = (h / 3) | 0
  return { start, facet }
}

/** Angle of facet `g` at its vertex `v`, radians, good to 1e-4: only a weight. */
function cornerAngle(p: Float32Array, indices: Uint32Array, g: number, v: number): number {
  const k = indices[3 * g] === v ? 0 : indices[3 * g + 1] === v ? 1 : 2
  const i = 3 * v
  const b = 3 * indices[3 * g + ((k + 1) % 3)]!
  const c = 3 * indices[3 * g + ((k + 2) % 3)]!
  const ux = p[b]! - p[i]!
  const uy = p[b + 1]! - p[i + 1]!
  const uz = p[b + 2]! - p[i + 2]!
  const vx = p[c]! - p[i]!
  const vy = p[c + 1]! - p[i + 1]!
  const vz = p[c + 2]! - p[i + 2]!
  const lengths = Math.sqrt((ux * ux + uy * uy + uz * uz) * (vx * vx + vy * vy + vz * vz))
  if (!(lengths > 0)) return 0
  const cosine = Math.max(-1, Math.min(1, (ux * vx + uy * vy + uz * vz) / lengths))
  // acos by + − · / sqrt alone (M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 4.4.45), the same in every engine.
  const t = Math.abs(cosine)
  const angle = Math.sqrt(1 - t) * (1.5707288 + t * (-0.2121144 + t * (0.074261 - t * 0.0187293)))
  return cosine < 0 ? Math.PI - angle : angle
}
