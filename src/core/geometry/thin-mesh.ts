/** Fewer facets for looking at: vertices of one cell of a grid become one. Never used for a figure. */
import type { Axes } from './axes'
import { BLOCK, type Steps } from './kernel'
import { bounds, facetCount, type Mesh, makeMesh, vertexCount } from './mesh'

export interface Clustered<A extends Axes = Axes> {
  readonly mesh: Mesh<A>
  /** Vertex of the thin mesh that stands for each vertex of the whole one. */
  readonly clusterOf: Uint32Array
  /** A facet of the whole mesh for each of the thin one. */
  readonly facetFrom: Uint32Array
}

/** @returns the mesh itself when it has no more than `keep` facets */
export function* thinned(mesh: Mesh, keep: number): Steps<Mesh> {
  if (facetCount(mesh) <= keep) return mesh
  for (let cell = longestSide(mesh) / MOST_CELLS; ; cell *= 1.3) {
    const { mesh: fewer } = yield* clustered(mesh, cell)
    if (facetCount(fewer) <= keep) return fewer
  }
}

/** A mesh is no longer than so many of the smallest cell, */
const MOST_CELLS = 700
/** so that the number of a cell takes so many bits for each axis. */
const CELL_BITS = 10

function longestSide(mesh: Mesh): number {
  const { min, max } = bounds(mesh)
  return Math.max(max[0] - min[0], max[1] - min[1], max[2] - min[2])
}

/** @param cell_mm side of the cells, each of which becomes the mean of its vertices; on a very long mesh they are larger */
export function* clustered<A extends Axes>(mesh: Mesh<A>, cell_mm: number): Steps<Clustered<A>> {
  const { min } = bounds(mesh)
  const cell = Math.max(cell_mm, longestSide(mesh) / MOST_CELLS)
  const { positions: p, indices, origin } = mesh
  const n = vertexCount(mesh)
  const numberOf = new Slots(n)
  const keyOf = new Int32Array(n) // of each cluster
  const clusterOf = new Uint32Array(n) // of each vertex
  const sums = new Float64Array(3 * n)
  const counts = new Uint32Array(n)
  let clusters = 0
  for (let v = 0; v < n; v++) {
    let key = 0
    for (let k = 0; k < 3; k++) key = (key << CELL_BITS) | Math.floor((p[3 * v + k]! + origin[k]! - min[k]!) / cell)
    let slot = numberOf.first(key)
    let c = numberOf.at[slot]!
    while (c >= 0 && keyOf[c] !== key) {
      slot = numberOf.after(slot)
      c = numberOf.at[slot]!
    }
    if (c < 0) {
      c = clusters++
      numberOf.at[slot] = c
      keyOf[c] = key
    }
    clusterOf[v] = c
    counts[c]!++
    for (let k = 0; k < 3; k++) sums[3 * c + k]! += p[3 * v + k]!
    if (v % BLOCK === 0) yield (0.6 * v) / n
  }
  const { facets, facetFrom } = yield* distinctFacets(indices, clusterOf)
  const positions = new Float32Array(3 * clusters)
  for (let i = 0; i < positions.length; i++) positions[i] = sums[i]! / counts[Math.floor(i / 3)]!
  return { mesh: makeMesh(mesh.axes, positions, facets, origin), clusterOf, facetFrom }
}

/** Facets whose corners lie in three clusters, the first of those with the same three. */
function* distinctFacets(
  indices: Uint32Array,
  clusterOf: Uint32Array,
): Steps<Pick<Clustered, 'facetFrom'> & { facets: Uint32Array }> {
  const facets = new Uint32Array(indices.length)
  const facetFrom = new Uint32Array(indices.length / 3)
  const sorted = new Uint32Array(indices.length) // the corners of each kept facet by number
  const numberOf = new Slots(indices.length / 3)
  let kept = 0
  for (let i = 0; i < indices.length; i += 3) {
    const a = clusterOf[indices[i]!]!
    const b = clusterOf[indices[i + 1]!]!
    const c = clusterOf[indices[i + 2]!]!
    if (a === b || b === c || c === a) continue
    const low = Math.min(a, b, c)
    const high = Math.max(a, b, c)
    const middle = a + b + c - low - high
    let slot = numberOf.first(Math.imul(low, 0x2c1b3c6d) ^ Math.imul(middle, 0x297a2d39) ^ high)
    let f = numberOf.at[slot]!
    while (f >= 0 && (sorted[f] !== low || sorted[f + 1] !== middle || sorted[f + 2] !== high)) {
      slot = numberOf.after(slot)
      f = numberOf.at[slot]!
    }
    if (f < 0) {
      numberOf.at[slot] = kept
      facets[kept] = a
      facets[kept + 1] = b
      facets[kept + 2] = c
      facetFrom[kept / 3] = i / 3
      sorted[kept] = low
      sorted[kept + 1] = middle
      sorted[kept + 2] = high
      kept += 3
    }
    if (i % (3 * BLOCK) === 0) yield 0.6 + (0.4 * i) / indices.length
  }
  return { facets: facets.slice(0, kept), facetFrom: facetFrom.slice(0, kept / 3) }
}

/** Places of a hash table with open addressing, for up to `most` entries; −1 is free. Maps of text keys took forty times as long. */
class Slots {
  readonly at: Int32Array
  private readonly mask: number

  constructor(most: number) {
    this.at = new Int32Array(2 << (31 - Math.clz32(Math.max(1, 2 * most - 1)))).fill(-1)
    this.mask = this.at.length - 1
  }

  first(key: number): number {
    const mixed = Math.imul(key ^ (key >>> 15), 0x2c1b3c6d)
    return (mixed ^ (mixed >>> 13)) & this.mask
  }

  after(slot: number): number {
    return (slot + 1) & this.mask
  }
}
