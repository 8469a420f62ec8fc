import { BLOCK, type Steps } from './kernel'
import type { Mesh } from './mesh'

/** What a mesh looks like from its vertices. */
export interface VertexSurface {
  /** Unit normals, area-weighted over the facets around, three per vertex; 0,0,0 for a vertex without area. */
  readonly normals: Float32Array
  /** mm2, a third of the area of the facets around, one per vertex. */
  readonly area: Float32Array
  readonly area_mm2: number
  /** Middle of the surface by area, about the mesh's own origin, mm. */
  readonly centroid: readonly [number, number, number]
}

/** Vertex normals, vertex areas and the surface's middle in one pass over the facets. */
export function* vertexSurface(mesh: Mesh): Steps<VertexSurface> {
  const { positions: p, indices } = mesh
  const normals = new Float32Array(p.length)
  const area = new Float32Array(p.length / 3)
  let total = 0
  let mx = 0
  let my = 0
  let mz = 0
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f]! * 3
    const b = indices[f + 1]! * 3
    const c = indices[f + 2]! * 3
    const ax = p[a]!
    const ay = p[a + 1]!
    const az = p[a + 2]!
    const ux = p[b]! - ax
    const uy = p[b + 1]! - ay
    const uz = p[b + 2]! - az
    const vx = p[c]! - ax
    const vy = p[c + 1]! - ay
    const vz = p[c + 2]! - az
    const nx = uy * vz - uz * vy
    const ny = uz * vx - ux * vz
    const nz = ux * vy - uy * vx
    const twice = Math.sqrt(nx * nx + ny * ny + nz * nz)
    const sixth = twice / 6
    normals[a]! += nx
    normals[a + 1]! += ny
    normals[a + 2]! += nz
    normals[b]! += nx
    normals[b + 1]! += ny
    normals[b + 2]! += nz
    normals[c]! += nx
    normals[c + 1]! += ny
    normals[c + 2]! += nz
    area[a / 3]! += sixth
    area[b / 3]! += sixth
    area[c / 3]! += sixth
    total += twice
    mx += twice * (ax + (ux + vx) / 3)
    my += twice * (ay + (uy + vy) / 3)
    mz += twice * (az + (uz + vz) / 3)
    if (f % (3 * BLOCK) === 0) yield f / indices.length
  }
  for (let i = 0; i < normals.length; i += 3) {
    const x = normals[i]!
    const y = normals[i + 1]!
    const z = normals[i + 2]!
    const l = Math.sqrt(x * x + y * y + z * z)
    if (!(l > 0)) continue
    normals[i] = x / l
    normals[i + 1] = y / l
    normals[i + 2] = z / l
  }
  const share = total > 0 ? 1 / total : 0
  return { normals, area, area_mm2: total / 2, centroid: [mx * share, my * share, mz * share] }
}
