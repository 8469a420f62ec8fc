/**
 * The random part of a mesh's roughness: what is noise, and what is only coarse.
 *
 * How far a vertex stands off the mean of its neighbours (δ) is curvature and noise together: on an exact torus of coarse facets it
 * is large everywhere, but it is the same next door. So each δ is compared with the mean δ of the neighbours: what remains
 * changes from vertex to vertex, and that is noise. Vertices on edges and corners have no say, and the median is taken.
 */
import { BLOCK, type Steps } from '../geometry/kernel'
import { type Mesh, vertexCount } from '../geometry/mesh'
import { vertexSurface } from '../geometry/vertex-surface'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { CREASE_COS, facetsOfVertex } from './smooth-normals'

/**
 * Standard deviation of the twice-repeated difference for unit noise on six neighbours: centre 7/6, neighbours −5/18, beyond 1/18
 * and 1/36; root of the sum of squares.
 */
const SPREAD = 1.3596
/** Median of the absolute value of a normal variable of sigma 1. */
const MEDIAN = 0.6745
/** Below this share of δ itself the remainder is the uneven shape of facets, not noise. */
const LEAST_SHARE = 0.25

/** With fewer smooth places than this nothing is said. */
const LEAST_VERTICES = 60

/** @returns 1 sigma across the surface, mm; 0 for a mesh without noise */
export function* meshNoise(mesh: Mesh): Steps<number> {
  const { positions: p, indices } = mesh
  const vertices = vertexCount(mesh)
  const { normals } = yield* vertexSurface(mesh)
  const { start, facet } = facetsOfVertex(mesh)
  yield 0.3
  const stand = new Float32Array(vertices).fill(Number.NaN)
  let largest = 0
  for (let i = 0; i < p.length; i++) largest = Math.max(largest, Math.abs(p[i]!))
  for (let v = 0; v < vertices; v++) {
    const from = start[v]!
    const to = start[v + 1]!
    if (to - from < 3 || !isSmooth(mesh, normals, v, facet, from, to)) continue
    let x = 0
    let y = 0
    let z = 0
    for (let at = from; at < to; at++) {
      const f = 3 * facet[at]!
      for (let k = f; k < f + 3; k++) {
        const o = 3 * indices[k]!
        if (o === 3 * v) continue
        x += p[o]! - p[3 * v]!
        y += p[o + 1]! - p[3 * v + 1]!
        z += p[o + 2]! - p[3 * v + 2]!
      }
    }
    stand[v] = (x * normals[3 * v]! + y * normals[3 * v + 1]! + z * normals[3 * v + 2]!) / (2 * (to - from))
    if (v % BLOCK === 0) yield 0.3 + (0.4 * v) / vertices
  }
  const rest = new Float32Array(vertices).fill(Number.NaN)
  for (let v = 0; v < vertices; v++) {
    const from = start[v]!
    const to = start[v + 1]!
    if (to - from < 3) continue
    let sum = 0
    for (let at = from; at < to; at++) {
      const f = 3 * facet[at]!
      for (let k = f; k < f + 3; k++) if (indices[k] !== v) sum += stand[indices[k]!]!
    }
    rest[v] = Math.abs(stand[v]! - sum / (2 * (to - from)))
    if (v % BLOCK === 0) yield 0.7 + (0.3 * v) / vertices
  }
  let judged = 0
  for (let v = 0; v < vertices; v++) if (!Number.isNaN(rest[v]!)) judged++
  if (judged < LEAST_VERTICES) return 0
  const random = weightedQuantile(rest, null, 0.5)
  const whole = weightedQuantile(stand.map(Math.abs), null, 0.5)
  // 4 Float32 steps of the largest coordinate are rounding.
  if (!(random > largest * 2 ** -21) || random < LEAST_SHARE * whole) return 0
  return random / (MEDIAN * SPREAD)
}

/** All facets around lie within 30 degrees of the vertex's normal. */
function isSmooth(mesh: Mesh, normals: Float32Array, v: number, facet: Uint32Array, from: number, to: number): boolean {
  const { positions: p, indices } = mesh
  for (let at = from; at < to; at++) {
    const a = 3 * indices[3 * facet[at]!]!
    const b = 3 * indices[3 * facet[at]! + 1]!
    const c = 3 * indices[3 * facet[at]! + 2]!
    const ux = p[b]! - p[a]!
    const uy = p[b + 1]! - p[a + 1]!
    const uz = p[b + 2]! - p[a + 2]!
    const wx = p[c]! - p[a]!
    const wy = p[c + 1]! - p[a + 1]!
    const wz = p[c + 2]! - p[a + 2]!
    const nx = uy * wz - uz * wy
    const ny = uz * wx - ux * wz
    const nz = ux * wy - uy * wx
    const along = nx * normals[3 * v]! + ny * normals[3 * v + 1]! + nz * normals[3 * v + 2]!
    if (along < CREASE_COS * Math.sqrt(nx * nx + ny * ny + nz * nz)) return false
  }
  return true
}
