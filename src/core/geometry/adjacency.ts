/**
 * Who lies across each edge: the half-edges of an indexed mesh matched in typed arrays.
 *
 * Half-edge `3 f + k` of facet `f` runs from its corner `k` to its corner `k + 1`. Half-edges are bucketed by their lower
 * vertex (a counting sort, about three to a bucket) and compared inside the bucket, which needs no hash and walks memory
 * in the order of the vertices.
 */
import { BLOCK, type Steps } from './kernel'

/** In `across`: nothing lies beyond this edge. */
export const RIM = -1
/** In `across`: three or more facets meet at this edge. */
export const NON_MANIFOLD = -2

export interface Adjacency {
  /** Three per facet: the facet across the edge from corner k to corner k + 1, or `RIM`, or `NON_MANIFOLD`. */
  readonly across: Int32Array
  /** Edges with one facet. */
  readonly boundaryEdges: number
  /** Edges with three facets or more. */
  readonly nonManifoldEdges: number
  /** Edges whose two facets run them in the same direction: one of the two is turned. */
  readonly inconsistentEdges: number
}

/** Closed and consistently turned: no rim, no edge with three facets, no turned neighbour. Only then is a volume a volume. */
export const isClosed = (a: Adjacency): boolean =>
  a.boundaryEdges === 0 && a.nonManifoldEdges === 0 && a.inconsistentEdges === 0

/**
 * @param indices     three per facet; a facet that names a vertex twice gets `NON_MANIFOLD` along that edge and is not counted
 * @param vertexCount how many vertices the indices may name
 */
export function* adjacency(indices: Uint32Array, vertexCount: number): Steps<Adjacency> {
  const halves = indices.length
  const across = new Int32Array(halves).fill(RIM)
  const start = new Uint32Array(vertexCount + 1) // bucket of the lower vertex: start[v] … start[v + 1]
  const step = BLOCK * 3 * 4

  for (let from = 0; from < halves; from += step) {
    const to = Math.min(halves, from + step)
    for (let h = from; h < to; h += 3) {
      const a = indices[h]!
      const b = indices[h + 1]!
      const c = indices[h + 2]!
      start[Math.min(a, b) + 1]!++
      start[Math.min(b, c) + 1]!++
      start[Math.min(c, a) + 1]!++
    }
    yield (0.2 * to) / halves
  }
  for (let v = 0; v < vertexCount; v++) start[v + 1]! += start[v]!

  const half = new Uint32Array(halves) // half-edges, bucket after bucket
  const high = new Uint32Array(halves) // and their upper vertex
  // `start` is used up as the write position; afterwards start[v] is the end of bucket v.
  for (let from = 0; from < halves; from += step) {
    const to = Math.min(halves, from + step)
    for (let h = from; h < to; h += 3) {
      const a = indices[h]!
      const b = indices[h + 1]!
      const c = indices[h + 2]!
      let at = start[Math.min(a, b)]!++
      half[at] = h
      high[at] = Math.max(a, b)
      at = start[Math.min(b, c)]!++
      half[at] = h + 1
      high[at] = Math.max(b, c)
      at = start[Math.min(c, a)]!++
      half[at] = h + 2
      high[at] = Math.max(c, a)
    }
    yield 0.2 + (0.4 * to) / halves
  }

  let boundaryEdges = 0
  let nonManifoldEdges = 0
  let inconsistentEdges = 0
  let from = 0
  for (let v = 0; v < vertexCount; v++) {
    const to = start[v]!
    const sorted = to - from > LONG_BUCKET
    if (sorted) sortByHigh(half, high, from, to)
    for (let i = from; i < to; i++) {
      const upper = high[i]!
      if (upper === DONE) continue
      if (upper === v) {
        across[half[i]!] = NON_MANIFOLD
        continue
      }
      let partner = -1
      let users = 1
      for (let j = i + 1; j < to; j++) {
        if (high[j] === upper) {
          high[j] = DONE
          users++
          if (partner < 0) partner = j
          else across[half[j]!] = NON_MANIFOLD
        } else if (sorted && high[j] !== DONE) break
      }
      if (users === 1) {
        boundaryEdges++
        continue
      }
      const h = half[i]!
      const g = half[partner]!
      if (users === 2) {
        across[h] = (g / 3) | 0
        across[g] = (h / 3) | 0
        // Both run up from the lower vertex, or both down to it: turned against each other.
        if ((indices[h] === v) === (indices[g] === v)) inconsistentEdges++
      } else {
        nonManifoldEdges++
        across[h] = NON_MANIFOLD
        across[g] = NON_MANIFOLD
      }
    }
    from = to
    if (v % (BLOCK * 2) === 0) yield 0.6 + (0.4 * v) / vertexCount
  }
  return { across, boundaryEdges, nonManifoldEdges, inconsistentEdges }
}

/** Marks an entry of a bucket that was matched already. Never a vertex: indices stop at 2^32 − 2. */
const DONE = 0xffffffff

/** The hub of a fan may have 100,000 edges; comparing all pairs of them would hang, so such a bucket is sorted first. */
const LONG_BUCKET = 48

function sortByHigh(half: Uint32Array, high: Uint32Array, from: number, to: number): void {
  const order = Array.from({ length: to - from }, (_, i) => from + i).sort(
    (i, j) => high[i]! - high[j]! || half[i]! - half[j]!,
  )
  const halves = order.map((i) => half[i]!)
  const highs = order.map((i) => high[i]!)
  half.set(halves, from)
  high.set(highs, from)
}
