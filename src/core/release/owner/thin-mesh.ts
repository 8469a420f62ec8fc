/** Fewer facets for looking at: vertices of one cell of a grid become one. Never used for a figure. */
import { BLOCK, type Steps } from '../../geometry/kernel'
import { bounds, facetCount, type Mesh, makeMesh, vertexCount } from '../../geometry/mesh'

/** @returns the mesh itself when it has no more than `keep` facets */
export function* thinned(mesh: Mesh, keep: number): Steps<Mesh> {
  if (facetCount(mesh) <= keep) return mesh
  const { min, max } = bounds(mesh)
  const longest = Math.max(max[0] - min[0], max[1] - min[1], max[2] - min[2])
  for (let cell = longest / 700; ; cell *= 1.3) {
    const fewer = yield* clustered(mesh, cell, min)
    if (facetCount(fewer) <= keep) return fewer
  }
}

function* clustered(mesh: Mesh, cell: number, min: readonly number[]): Steps<Mesh> {
  const { positions: p, indices, origin } = mesh
  const n = vertexCount(mesh)
  const numberOf = new Map<number, number>()
  const clusterOf = new Uint32Array(n)
  const sums: number[] = []
  const counts: number[] = []
  for (let v = 0; v < n; v++) {
    let key = 0
    for (let k = 0; k < 3; k++) key = key * 131_072 + Math.floor((p[3 * v + k]! + origin[k]! - min[k]!) / cell)
    let c = numberOf.get(key)
    if (c === undefined) {
      c = counts.length
      numberOf.set(key, c)
      counts.push(0)
      sums.push(0, 0, 0)
    }
    clusterOf[v] = c
    counts[c]!++
    for (let k = 0; k < 3; k++) sums[3 * c + k]! += p[3 * v + k]!
    if (v % BLOCK === 0) yield (0.6 * v) / n
  }
  const facets: number[] = []
  const seen = new Set<string>()
  for (let i = 0; i < indices.length; i += 3) {
    const corners = [clusterOf[indices[i]!]!, clusterOf[indices[i + 1]!]!, clusterOf[indices[i + 2]!]!] as const
    const [a, b, c] = corners
    if (a === b || b === c || c === a) continue
    const name = [...corners].sort((x, y) => x - y).join()
    if (seen.has(name)) continue
    seen.add(name)
    facets.push(a, b, c)
    if (i % (3 * BLOCK) === 0) yield 0.6 + (0.4 * i) / indices.length
  }
  const positions = Float32Array.from(sums, (s, i) => s / counts[Math.floor(i / 3)]!)
  return makeMesh(mesh.axes, positions, Uint32Array.from(facets), origin)
}
