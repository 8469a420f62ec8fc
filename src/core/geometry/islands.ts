/** Connected pieces of a mesh, and the rims where it ends: both by union-find, which no tangle can mislead. */
import { RIM } from './adjacency'
import { BLOCK, type Steps } from './kernel'

export interface Islands {
  readonly count: number
  /** Which piece each facet belongs to, numbered in the order of their first facets. One per facet. */
  readonly ofFacet: Uint32Array
}

/**
 * Pieces connected by shared vertices (hence also by shared edges).
 *
 * @param indices three per facet
 */
export function* islands(indices: Uint32Array, vertexCount: number): Steps<Islands> {
  const facets = indices.length / 3
  const parent = newForest(vertexCount)
  for (let from = 0; from < facets; from += BLOCK * 2) {
    const to = Math.min(facets, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      const a = indices[f * 3]!
      unite(parent, a, indices[f * 3 + 1]!)
      unite(parent, a, indices[f * 3 + 2]!)
    }
    yield (0.7 * to) / Math.max(1, facets)
  }
  const NONE = 0xffffffff
  const number = new Uint32Array(vertexCount).fill(NONE)
  const ofFacet = new Uint32Array(facets)
  let count = 0
  for (let from = 0; from < facets; from += BLOCK * 2) {
    const to = Math.min(facets, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      const root = find(parent, indices[f * 3]!)
      if (number[root] === NONE) number[root] = count++
      ofFacet[f] = number[root]!
    }
    yield 0.7 + (0.3 * to) / Math.max(1, facets)
  }
  return { count, ofFacet }
}

export interface BoundaryLoops {
  /** Rims: sets of rim edges that hang together. */
  readonly count: number
  /** Half-edge numbers (3 f + k, from corner k to corner k + 1 of facet f) of all rim edges, ascending. */
  readonly edges: Uint32Array
  /** The rim each of `edges` belongs to, numbered by their first edges. */
  readonly loopOf: Uint32Array
}

/**
 * The rims of a mesh. Two holes that touch in a vertex count as one rim: at a vertex with more than two rim edges there is
 * no "next" edge (39 to 55 such vertices in a scan of 100,000 facets), and a walk would depend on its start.
 */
export function* boundaryLoops(indices: Uint32Array, vertexCount: number, across: Int32Array): Steps<BoundaryLoops> {
  let rims = 0
  for (let h = 0; h < across.length; h++) if (across[h] === RIM) rims++
  yield 0.3
  const edges = new Uint32Array(rims)
  const loopOf = new Uint32Array(rims)
  if (rims === 0) return { count: 0, edges, loopOf }

  const parent = newForest(vertexCount)
  let at = 0
  for (let h = 0; h < across.length; h++) {
    if (across[h] !== RIM) continue
    edges[at++] = h
    unite(parent, indices[h]!, indices[nextHalf(h)]!)
  }
  yield 0.7
  const number = new Map<number, number>()
  for (let e = 0; e < rims; e++) {
    const root = find(parent, indices[edges[e]!]!)
    let loop = number.get(root)
    if (loop === undefined) {
      loop = number.size
      number.set(root, loop)
    }
    loopOf[e] = loop
  }
  return { count: number.size, edges, loopOf }
}

/** The half-edge after `h` in the same facet. */
export const nextHalf = (h: number): number => (h % 3 === 2 ? h - 2 : h + 1)

/** A forest for union-find in which every one of `n` is alone. */
export function newForest(n: number): Uint32Array<ArrayBuffer> {
  const parent = new Uint32Array(n)
  for (let i = 0; i < n; i++) parent[i] = i
  return parent
}

/** Root of `i`, halving the path on the way. */
export function find(parent: Uint32Array, i: number): number {
  while (parent[i] !== i) {
    const up = parent[parent[i]!]!
    parent[i] = up
    i = up
  }
  return i
}

/** The lower root wins: results then depend on the numbers alone, not on the order of the calls. */
export function unite(parent: Uint32Array, i: number, j: number): void {
  const a = find(parent, i)
  const b = find(parent, j)
  if (a < b) parent[b] = a
  else if (b < a) parent[a] = b
}
