import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { nearestPoint, pointGrid } from '../geometry/point-grid'
import type { EndedTube } from './tube-ends'

/** Least cosine between a vertex normal and the direction away from the axis: 37°. */
const RADIAL = 0.8

/**
 * Which tube each facet lies on: its corners stand at the radius from the tube's axis, facing away from it.
 *
 * @returns number of the tube, −1 for none (fillets, plates, inside of ends), one per facet
 */
export function* labelFacets(
  mesh: Mesh,
  vertexNormals: Float32Array,
  tubes: readonly EndedTube[],
  noise_mm: number,
  edge_mm: number,
): Steps<Int32Array> {
  const facets = facetCount(mesh)
  const out = new Int32Array(facets).fill(-1)
  if (tubes.length === 0) return out
  const places = tubes.flatMap((t) => t.axis.map((p) => [...p]))
  const flat = Float32Array.from(places.flat())
  const owner = Int32Array.from(tubes.flatMap((t, i) => t.axis.map(() => i)))
  const tangent = Float32Array.from(tubes.flatMap((t) => t.axis.flatMap((_, k) => tangentAt(t, k))))
  const largest = Math.max(...tubes.map((t) => t.piece.radius_mm))
  const reach = 1.6 * largest
  const grid = pointGrid(flat, largest)
  const { positions, indices } = mesh
  const vertices = vertexCount(mesh)
  const label = new Int16Array(vertices).fill(-1)
  for (let v = 0; v < vertices; v++) {
    const x = positions[3 * v]!
    const y = positions[3 * v + 1]!
    const z = positions[3 * v + 2]!
    const near = nearestPoint(grid, x, y, z, reach, null, 0, 0, 0)
    if (near >= 0) {
      const tube = owner[near]!
      const r = tubes[tube]!.piece.radius_mm
      const q = 3 * near
      let dx = x - flat[q]!
      let dy = y - flat[q + 1]!
      let dz = z - flat[q + 2]!
      const along = dx * tangent[q]! + dy * tangent[q + 1]! + dz * tangent[q + 2]!
      dx -= along * tangent[q]!
      dy -= along * tangent[q + 1]!
      dz -= along * tangent[q + 2]!
      const rho = Math.sqrt(dx * dx + dy * dy + dz * dz)
      const gate = Math.max(0.1 * r, 4 * noise_mm) + (edge_mm * edge_mm) / (4 * r)
      const radial = dx * vertexNormals[3 * v]! + dy * vertexNormals[3 * v + 1]! + dz * vertexNormals[3 * v + 2]!
      if (Math.abs(rho - r) < gate && Math.abs(along) < r && radial > RADIAL * rho) label[v] = tube
    }
    if (v % BLOCK === 0) yield (0.9 * v) / vertices
  }
  for (let f = 0; f < facets; f++) {
    const a = label[indices[3 * f]!]!
    const b = label[indices[3 * f + 1]!]!
    const c = label[indices[3 * f + 2]!]!
    out[f] = a === b || a === c ? a : b === c ? b : -1
  }
  return out
}

function tangentAt({ axis, piece }: EndedTube, k: number): number[] {
  const n = axis.length
  const a = axis[piece.closed ? (k + n - 1) % n : Math.max(0, k - 1)]!
  const b = axis[piece.closed ? (k + 1) % n : Math.min(n - 1, k + 1)]!
  const d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
  const l = Math.sqrt(d[0]! * d[0]! + d[1]! * d[1]! + d[2]! * d[2]!) || 1
  return d.map((x) => x / l)
}
