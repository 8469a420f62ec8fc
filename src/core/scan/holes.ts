/** Holes of a scan: rims that lie close together belong to one hole, for one gap of the scanner tears both walls of a tube. */

import type { Point } from '../geometry/axes'
import { type BoundaryLoops, find, newForest, nextHalf, unite } from '../geometry/islands'
import type { Steps } from '../geometry/kernel'
import { type Mesh, vertexCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import type { Hole } from './types'

/** Rims nearer to each other than this many mean rim edges are one hole. (15 true holes gave 25 to 44 rims.) */
const NEAR_EDGES = 3

export interface Holes {
  /** Longest rim first. */
  readonly holes: Hole[]
  /** 1 for each vertex on a rim. */
  readonly rimVertex: Uint8Array
}

export function* holes(mesh: Mesh<'scan'>, loops: BoundaryLoops): Steps<Holes> {
  const { positions: p, indices, origin } = mesh
  const rimVertex = new Uint8Array(vertexCount(mesh))
  const { edges, loopOf, count } = loops
  const lengths = new Float64Array(edges.length)
  let total = 0
  for (let e = 0; e < edges.length; e++) {
    const a = indices[edges[e]!]! * 3
    const b = indices[nextHalf(edges[e]!)]! * 3
    rimVertex[a / 3] = rimVertex[b / 3] = 1
    const x = p[a]! - p[b]!
    const y = p[a + 1]! - p[b + 1]!
    const z = p[a + 2]! - p[b + 2]!
    lengths[e] = Math.sqrt(x * x + y * y + z * z)
    total += lengths[e]!
  }
  yield 0.3
  if (edges.length === 0) return { holes: [], rimVertex }

  const forest = newForest(count)
  yield* uniteNear(mesh, loops, (NEAR_EDGES * total) / edges.length, forest)

  // One entry per group: rim length, loops, and the middle of the rim weighted by length.
  const groups = new Map<number, { rim: number; loops: number; x: number; y: number; z: number }>()
  for (let l = 0; l < count; l++) {
    const root = find(forest, l)
    const group = groups.get(root)
    if (group) group.loops++
    else groups.set(root, { rim: 0, loops: 1, x: 0, y: 0, z: 0 })
  }
  for (let e = 0; e < edges.length; e++) {
    const group = groups.get(find(forest, loopOf[e]!))!
    const a = indices[edges[e]!]! * 3
    const b = indices[nextHalf(edges[e]!)]! * 3
    const w = lengths[e]!
    group.rim += w
    group.x += (w * (p[a]! + p[b]!)) / 2
    group.y += (w * (p[a + 1]! + p[b + 1]!)) / 2
    group.z += (w * (p[a + 2]! + p[b + 2]!)) / 2
  }
  const out = [...groups.values()]
    .map((g): Hole => {
      const at: Point<'scan'> = [origin[0] + g.x / g.rim, origin[1] + g.y / g.rim, origin[2] + g.z / g.rim]
      return { rim_mm: g.rim, at, loops: g.loops }
    })
    .sort((a, b) => b.rim_mm - a.rim_mm)
  return { holes: out, rimVertex }
}

/**
 * Unites rims that come nearer to each other than about `reach`: cells of that size, in each of which a rim is stood for by
 * the first of its vertices there. (All pairs of vertices would hang on a soup of loose facets.)
 */
function* uniteNear(mesh: Mesh, { edges, loopOf }: BoundaryLoops, reach: number, forest: Uint32Array): Steps<void> {
  const { positions: p, indices } = mesh
  const cells = new Map<number, number[]>() // rim edges by cell; cells that share a number do no harm
  const limit = square(1.5 * reach)
  for (let e = 0; e < edges.length; e++) {
    const v = indices[edges[e]!]! * 3
    const i = Math.floor(p[v]! / reach)
    const j = Math.floor(p[v + 1]! / reach)
    const k = Math.floor(p[v + 2]! / reach)
    const loop = loopOf[e]!
    const own = cells.get(cellNumber(i, j, k))
    if (own?.some((other) => loopOf[other] === loop)) continue
    for (let n = 0; n < 27; n++) {
      const near = cells.get(cellNumber(i + (n % 3) - 1, j + (Math.floor(n / 3) % 3) - 1, k + Math.floor(n / 9) - 1))
      if (!near) continue
      for (const other of near) {
        if (find(forest, loopOf[other]!) === find(forest, loop)) continue
        const w = indices[edges[other]!]! * 3
        const x = p[v]! - p[w]!
        const y = p[v + 1]! - p[w + 1]!
        const z = p[v + 2]! - p[w + 2]!
        if (x * x + y * y + z * z <= limit) unite(forest, loopOf[other]!, loop)
      }
    }
    if (own) own.push(e)
    else cells.set(cellNumber(i, j, k), [e])
    if (e % 1024 === 0) yield 0.3 + (0.6 * e) / edges.length
  }
}

const cellNumber = (i: number, j: number, k: number): number =>
  (Math.imul(i, 73856093) ^ Math.imul(j, 19349663) ^ Math.imul(k, 83492791)) >>> 0
