import { BLOCK, type Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'

/** Width over which normals are averaged, mm: wide against the noise of a fine scan, narrow against the thinnest tube. */
const WIDTH_mm = 7

/**
 * Vertex normals averaged over about 7 mm along the mesh (never through the air to the other wall): rounds of averages over
 * the facets around each vertex, `(7 / edge)² / 2` of them, at least one.
 *
 * @param normals unit, three per vertex; only read
 * @returns unit, three per vertex
 */
export function* smoothNormals(mesh: Mesh, normals: Float32Array, edge_mm: number): Steps<Float32Array> {
  const { indices } = mesh
  const rounds = Math.min(40, Math.max(1, Math.round((WIDTH_mm * WIDTH_mm) / (2 * edge_mm * edge_mm))))
  let from = normals
  let to = new Float32Array(normals.length)
  let spare: Float32Array | null = null
  for (let round = 0; round < rounds; round++) {
    to.set(from)
    for (let f = 0; f < indices.length; f += 3) {
      const a = 3 * indices[f]!
      const b = 3 * indices[f + 1]!
      const c = 3 * indices[f + 2]!
      const x = from[a]! + from[b]! + from[c]!
      const y = from[a + 1]! + from[b + 1]! + from[c + 1]!
      const z = from[a + 2]! + from[b + 2]! + from[c + 2]!
      to[a]! += x
      to[a + 1]! += y
      to[a + 2]! += z
      to[b]! += x
      to[b + 1]! += y
      to[b + 2]! += z
      to[c]! += x
      to[c + 1]! += y
      to[c + 2]! += z
      if (f % (24 * BLOCK) === 0) yield (round + f / indices.length) / rounds
    }
    for (let i = 0; i < to.length; i += 3) {
      const x = to[i]!
      const y = to[i + 1]!
      const z = to[i + 2]!
      const l = Math.sqrt(x * x + y * y + z * z)
      if (!(l > 0)) continue
      to[i] = x / l
      to[i + 1] = y / l
      to[i + 2] = z / l
    }
    const next = spare ?? new Float32Array(normals.length)
    spare = from === normals ? null : (from as Float32Array<ArrayBuffer>)
    from = to
    to = next as Float32Array<ArrayBuffer>
  }
  return from
}
