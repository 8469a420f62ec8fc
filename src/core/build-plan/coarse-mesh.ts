import type { Mesh } from '../geometry/mesh'
import { facetCount, vertexCount } from '../geometry/mesh'

export interface CoarseMesh {
  /** mm, three per node. */
  readonly positions: Float64Array
  readonly triangles: Uint32Array
  /** Zone of each triangle. */
  readonly kindOf: Uint8Array
  /** Node of each vertex of the fine mesh. */
  readonly nodeOf: Uint32Array
}

/**
 * A mesh of about `nodes` nodes over a shell, for a filling that needs far fewer than the shell has: vertices are gathered by
 * cells of space, each cell stands at the mean of its vertices, triangles that fall together are dropped.
 */
export function coarseMesh(mesh: Mesh, zone: Uint8Array, area_mm2: number, nodes: number): CoarseMesh {
  const { positions: p, indices } = mesh
  const cell = Math.sqrt(area_mm2 / nodes)
  const cells = new Map<string, number>()
  const nodeOf = new Uint32Array(vertexCount(mesh))
  const sums: number[] = []
  for (let v = 0; v < nodeOf.length; v++) {
    // Cells lie symmetrically about y = 0, so that a symmetric shell fills symmetrically.
    const y = p[3 * v + 1]!
    const row = Math.sign(y) * Math.floor(Math.abs(y) / cell + 0.5)
    const key = `${Math.floor(p[3 * v]! / cell)} ${row} ${Math.floor(p[3 * v + 2]! / cell)}`
    let node = cells.get(key)
    if (node === undefined) {
      node = cells.size
      cells.set(key, node)
      sums.push(0, 0, 0, 0)
    }
    nodeOf[v] = node
    for (let k = 0; k < 3; k++) sums[4 * node + k]! += p[3 * v + k]!
    sums[4 * node + 3]!++
  }
  const positions = new Float64Array(3 * cells.size)
  for (let n = 0; n < cells.size; n++)
    for (let k = 0; k < 3; k++) positions[3 * n + k] = sums[4 * n + k]! / sums[4 * n + 3]!
  const triangles: number[] = []
  const kindOf: number[] = []
  const seen = new Set<string>()
  for (let f = 0; f < facetCount(mesh); f++) {
    const [a, b, c] = [0, 1, 2].map((k) => nodeOf[indices[3 * f + k]!]!) as [number, number, number]
    if (a === b || b === c || c === a) continue
    const key = [a, b, c].sort((x, y) => x - y).join(' ')
    if (seen.has(key)) continue
    seen.add(key)
    triangles.push(a, b, c)
    kindOf.push(zone[f]!)
  }
  return { positions, triangles: Uint32Array.from(triangles), kindOf: Uint8Array.from(kindOf), nodeOf }
}
