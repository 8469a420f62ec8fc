import type { Steps } from '../geometry/kernel'
import { loadFacet } from '../geometry/least-distance'
import { facetCount } from '../geometry/mesh'
import { triangleDistance2 } from '../geometry/triangle-distance'
import { leafCount, leafStart, type TriangleTree } from '../geometry/triangle-tree'

/** For each facet of a shell: how near the frame comes, and by how much that is more than asked. Flat, one entry per facet. */
export interface FacetGaps {
  /** mm, exact up to the limit; Infinity beyond. */
  readonly distance: Float64Array
  /** Least of (distance − gap of the frame facet), mm, exact up to (limit − largest gap); Infinity beyond. */
  readonly margin: Float64Array
  /** Frame facet that gives the margin; −1 where there is none. */
  readonly frameFacet: Int32Array
  /** The pair of points that gives the margin, six per facet, job axes: on the shell, on the frame. */
  readonly witness: Float64Array
  /** The shell facet with the least distance of all, and its pair of points; −1 and NaN if the frame is beyond the limit. */
  nearest: number
  readonly nearestPair: Float64Array
}

/** How many leaves of the shell are handled between two yields; a leaf near the metal takes about 0.1 ms. */
const LEAVES = 64

/**
 * Exact triangle-to-triangle distances from every facet of a shell to a frame, cut off at a limit: without the cut-off
 * nothing can be pruned. One walk through the frame's tree for each leaf of the shell's tree (up to four neighbouring
 * facets), nearest boxes first, started with the frame facets that the leaf before found.
 *
 * @param gap      mm, one for all or one per frame facet
 * @param limit_mm distances are found up to here; at least the largest gap
 */
export function* facetGaps(
  shell: TriangleTree,
  frame: TriangleTree,
  gap: number | Float32Array,
  limit_mm: number,
): Steps<FacetGaps> {
  const facets = facetCount(shell.mesh)
  const result: FacetGaps = {
    distance: new Float64Array(facets).fill(Infinity),
    margin: new Float64Array(facets).fill(Infinity),
    frameFacet: new Int32Array(facets).fill(-1),
    witness: new Float64Array(6 * facets).fill(Number.NaN),
    nearest: -1,
    nearestPair: new Float64Array(6).fill(Number.NaN),
  }
  const search = new Search(shell, frame, gap, limit_mm, result)
  const leaves: number[] = []
  for (let i = 0; i < shell.child.length; i++) {
    const c = shell.child[i]!
    // An empty child (tiny meshes only) has an inverted box.
    if (c < 0 && shell.box[6 * i]! <= shell.box[6 * i + 3]!) leaves.push(c)
  }
  leaves.sort((a, b) => leafStart(a) - leafStart(b))
  for (let i = 0; i < leaves.length; i++) {
    search.leaf(leafStart(leaves[i]!), leafCount(leaves[i]!))
    if (i % LEAVES === 0) yield { fraction: i / leaves.length, label: 'distances' }
  }
  return result
}

/** One walk at a time; all scratch memory is made once. */
class Search {
  readonly shell: TriangleTree
  readonly frame: TriangleTree
  readonly gap: number
  readonly gaps: Float32Array | null
  readonly largestGap: number
  readonly limit: number
  readonly result: FacetGaps
  /** Frame's local axes to the shell's. */
  readonly sx: number
  readonly sy: number
  readonly sz: number
  /** Largest gap below each child of the frame's tree; null where all are equal. */
  readonly childGap: Float32Array | null
  /** Corners of the (up to four) shell facets at hand, and their boxes. */
  readonly corners: readonly Float64Array[] = Array.from({ length: 4 }, () => new Float64Array(9))
  readonly box = new Float64Array(24)
  readonly facet = new Int32Array(4)
  count = 0
  /** Least distance of all so far. */
  least: number
  /** Best so far of each: distance and margin, mm, never above the limit. */
  readonly best = new Float64Array(4)
  readonly slack = new Float64Array(4)
  /** Where the walk before ended: frame facets worth trying first. */
  readonly seeds = new Int32Array(4).fill(-1)
  readonly other = new Float64Array(9)
  readonly found = new Float64Array(6)
  readonly nodes = new Int32Array(160)
  readonly near = new Float64Array(160)
  readonly gapOf = new Float64Array(160)

  constructor(shell: TriangleTree, frame: TriangleTree, gap: number | Float32Array, limit: number, result: FacetGaps) {
    this.shell = shell
    this.frame = frame
    this.gap = typeof gap === 'number' ? gap : 0
    this.gaps = typeof gap === 'number' ? null : gap
    this.limit = limit
    this.result = result
    const from = shell.mesh.origin
    const to = frame.mesh.origin
    this.sx = to[0] - from[0]
    this.sy = to[1] - from[1]
    this.sz = to[2] - from[2]
    this.childGap = this.gaps ? largestGaps(frame, this.gaps) : null
    this.largestGap = this.childGap ? Math.max(this.childGap[0]!, this.childGap[1]!) : this.gap
    this.least = limit
  }

  leaf(start: number, count: number): void {
    this.count = count
    for (let s = 0; s < count; s++) {
      const f = this.shell.order[start + s]!
      this.facet[s] = f
      const t = this.corners[s]!
      loadFacet(this.shell.mesh, f, 0, 0, 0, t)
      for (let k = 0; k < 3; k++) {
        this.box[6 * s + k] = Math.min(t[k]!, t[3 + k]!, t[6 + k]!)
        this.box[6 * s + 3 + k] = Math.max(t[k]!, t[3 + k]!, t[6 + k]!)
      }
      this.best[s] = this.limit
      // Where all gaps are equal the margin follows the distance; otherwise it may lie at a facet that is not the nearest.
      this.slack[s] = this.limit - this.largestGap
    }
    for (let i = 0; i < 4; i++) {
      const seed = this.seeds[i]!
      if (seed >= 0) this.frameFacet(seed)
    }
    this.walk()
    let slot = 0
    for (let s = 0; s < count; s++) {
      const g = this.result.frameFacet[this.facet[s]!]!
      if (g >= 0) this.seeds[slot++] = g
    }
  }

  /** Does anything in a box at these squared distances still matter to shell facet s? */
  wanted(s: number, apart2: number, gap: number): boolean {
    const best = this.best[s]!
    if (apart2 < best * best) return true
    if (!this.gaps) return false
    const reach = this.slack[s]! + gap
    return reach > 0 && apart2 < reach * reach
  }

  anyWanted(apart2: number, gap: number): boolean {
    for (let s = 0; s < this.count; s++) if (this.wanted(s, apart2, gap)) return true
    return false
  }

  walk(): void {
    const { frame, nodes, near, gapOf, box, count } = this
    let gx = Infinity
    let gy = Infinity
    let gz = Infinity
    let hx = -Infinity
    let hy = -Infinity
    let hz = -Infinity
    for (let s = 0; s < count; s++) {
      gx = Math.min(gx, box[6 * s]!)
      gy = Math.min(gy, box[6 * s + 1]!)
      gz = Math.min(gz, box[6 * s + 2]!)
      hx = Math.max(hx, box[6 * s + 3]!)
      hy = Math.max(hy, box[6 * s + 4]!)
      hz = Math.max(hz, box[6 * s + 5]!)
    }
    gx -= this.sx
    gy -= this.sy
    gz -= this.sz
    hx -= this.sx
    hy -= this.sy
    hz -= this.sz
    const fb = frame.box
    const apart = (at: number) => {
      const dx = Math.max(fb[at]! - hx, gx - fb[at + 3]!, 0)
      const dy = Math.max(fb[at + 1]! - hy, gy - fb[at + 4]!, 0)
      const dz = Math.max(fb[at + 2]! - hz, gz - fb[at + 5]!, 0)
      return dx * dx + dy * dy + dz * dz
    }
    let top = 0
    nodes[0] = 0
    near[0] = 0
    gapOf[0] = Infinity
    top = 1
    while (top > 0) {
      top--
      const node = nodes[top]!
      if (near[top]! > 0 && !this.anyWanted(near[top]!, gapOf[top]!)) continue
      const first = apart(12 * node)
      const second = apart(12 * node + 6)
      const nearer = first <= second ? 0 : 1
      // The nearer child is handled first: at once if it is a leaf, from the top of the stack if not.
      for (let turn = 0; turn < 2; turn++) {
        const side = turn === 0 ? 1 - nearer : nearer
        const slot = 2 * node + side
        const c = frame.child[slot]!
        if (c < 0) continue
        const d = side === 0 ? first : second
        const gap = this.childGap ? this.childGap[slot]! : 0
        if (!this.anyWanted(d, gap)) continue
        nodes[top] = c
        near[top] = d
        gapOf[top++] = gap
      }
      for (let turn = 0; turn < 2; turn++) {
        const side = turn === 0 ? nearer : 1 - nearer
        const slot = 2 * node + side
        const c = frame.child[slot]!
        if (c >= 0) continue
        const d = side === 0 ? first : second
        if (!this.anyWanted(d, this.childGap ? this.childGap[slot]! : 0)) continue
        const start = leafStart(c)
        for (let i = start + leafCount(c) - 1; i >= start; i--) this.frameFacet(frame.order[i]!)
      }
    }
  }

  /** One frame facet against all shell facets at hand. */
  frameFacet(g: number): void {
    const { other, found, box, result, gaps } = this
    loadFacet(this.frame.mesh, g, this.sx, this.sy, this.sz, other)
    const lx = Math.min(other[0]!, other[3]!, other[6]!)
    const ly = Math.min(other[1]!, other[4]!, other[7]!)
    const lz = Math.min(other[2]!, other[5]!, other[8]!)
    const mx = Math.max(other[0]!, other[3]!, other[6]!)
    const my = Math.max(other[1]!, other[4]!, other[7]!)
    const mz = Math.max(other[2]!, other[5]!, other[8]!)
    const gap = gaps ? gaps[g]! : this.gap
    for (let s = 0; s < this.count; s++) {
      const b = 6 * s
      const dx = Math.max(lx - box[b + 3]!, box[b]! - mx, 0)
      const dy = Math.max(ly - box[b + 4]!, box[b + 1]! - my, 0)
      const dz = Math.max(lz - box[b + 5]!, box[b + 2]! - mz, 0)
      if (!this.wanted(s, dx * dx + dy * dy + dz * dz, gap)) continue
      const best = this.best[s]!
      const reach = gaps ? Math.max(best, this.slack[s]! + gap) : best
      const d2 = triangleDistance2(this.corners[s]!, other, found, reach * reach)
      if (!(d2 < reach * reach)) continue
      const d = Math.sqrt(d2)
      const f = this.facet[s]!
      if (d < best) {
        this.best[s] = d
        result.distance[f] = d
        if (d < this.least) {
          this.least = d
          result.nearest = f
          this.keepPair(result.nearestPair, 0)
        }
      }
      if (d - gap < this.slack[s]!) {
        this.slack[s] = d - gap
        result.margin[f] = d - gap
        result.frameFacet[f] = g
        this.keepPair(result.witness, 6 * f)
      }
    }
  }

  keepPair(pairs: Float64Array, at: number): void {
    const { found } = this
    const [x, y, z] = this.shell.mesh.origin
    pairs[at] = found[0]! + x
    pairs[at + 1] = found[1]! + y
    pairs[at + 2] = found[2]! + z
    pairs[at + 3] = found[3]! + x
    pairs[at + 4] = found[4]! + y
    pairs[at + 5] = found[5]! + z
  }
}

function largestGaps(tree: TriangleTree, gaps: Float32Array): Float32Array {
  const { child, order } = tree
  const largest = new Float32Array(child.length).fill(-Infinity)
  // Children have greater numbers than their parents: from the last to the first, everything below is known.
  for (let slot = child.length - 1; slot >= 0; slot--) {
    const c = child[slot]!
    if (c >= 0) largest[slot] = Math.max(largest[2 * c]!, largest[2 * c + 1]!)
    else if (tree.box[6 * slot]! <= tree.box[6 * slot + 3]!)
      for (let i = leafStart(c); i < leafStart(c) + leafCount(c); i++)
        largest[slot] = Math.max(largest[slot]!, gaps[order[i]!]!)
  }
  return largest
}
