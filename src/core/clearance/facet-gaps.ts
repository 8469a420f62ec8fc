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

/** How many shell facets are handled between two yields; one near the metal takes up to 0.1 ms. */
const FACETS = 256

/**
 * Exact triangle-to-triangle distances from every facet of a shell to a frame, cut off at a limit: without the cut-off
 * nothing can be pruned. One walk through the frame's tree for each facet, nearer boxes first, in the order of the shell's
 * tree, so that the frame facet found before is a good first guess. Boxes are judged by their distance to the facet's box and
 * to its plane, since skirts and slopes have large boxes and thin facets. (One walk for each leaf of the shell, four facets
 * together, took twice as long: the bound of the worst of them held for all.)
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
  for (let i = 0; i < facets; i++) {
    search.facet(shell.order[i]!)
    if (i % FACETS === 0) yield { fraction: i / facets, label: 'distances' }
  }
  return result
}

/** One facet at a time; all scratch memory is made once. */
class Search {
  readonly shell: TriangleTree
  readonly frame: TriangleTree
  readonly gap: number
  readonly gaps: Float32Array | null
  readonly largestGap: number
  readonly limit: number
  readonly result: FacetGaps
  /** Local axes of the frame to those of the shell. */
  readonly shift: readonly [number, number, number]
  /** Largest gap below each child of the frame's tree; null where all are equal. */
  readonly childGap: Float32Array | null
  /** The shell facet at hand: its number, corners and box, the unit normal and offset of its plane (in the frame's local axes). */
  own = 0
  readonly corners = new Float64Array(9)
  readonly box = new Float64Array(6)
  readonly plane = new Float64Array(4)
  /** Best so far: distance and margin, mm. */
  best = 0.5
  slack = 0.5
  /** Least distance of all facets so far. */
  least: number
  /** Frame facet that the walk before ended on. */
  seed = -1
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
    this.shift = [from[0] - to[0], from[1] - to[1], from[2] - to[2]]
    this.childGap = this.gaps ? largestGaps(frame, this.gaps) : null
    this.largestGap = this.childGap ? Math.max(this.childGap[0]!, this.childGap[1]!) : this.gap
    this.least = limit
  }

  facet(f: number): void {
    const t = this.corners
    const { box, plane, shift } = this
    this.own = f
    loadFacet(this.shell.mesh, f, shift[0], shift[1], shift[2], t)
    for (let k = 0; k < 3; k++) {
      box[k] = Math.min(t[k]!, t[3 + k]!, t[6 + k]!)
      box[3 + k] = Math.max(t[k]!, t[3 + k]!, t[6 + k]!)
    }
    const ux = t[3]! - t[0]!
    const uy = t[4]! - t[1]!
    const uz = t[5]! - t[2]!
    const vx = t[6]! - t[0]!
    const vy = t[7]! - t[1]!
    const vz = t[8]! - t[2]!
    const x = uy * vz - uz * vy
    const y = uz * vx - ux * vz
    const z = ux * vy - uy * vx
    const length = Math.sqrt(x * x + y * y + z * z)
    // A facet without area has no plane: a zero normal makes that bound 0, which prunes nothing.
    const scale = length > 0 ? 1 / length : 0
    plane[0] = x * scale
    plane[1] = y * scale
    plane[2] = z * scale
    plane[3] = plane[0]! * t[0]! + plane[1]! * t[1]! + plane[2]! * t[2]!
    this.best = this.limit
    // Where all gaps are equal the margin follows the distance; otherwise it may lie at a frame facet that is not the nearest.
    this.slack = this.limit - this.largestGap
    if (this.seed >= 0) this.tryFacet(this.seed)
    this.walk()
    const g = this.result.frameFacet[f]!
    if (g >= 0) this.seed = g
  }

  /** Beyond this distance a frame facet with this gap (or a box of such) changes nothing. */
  reach(gap: number): number {
    return this.gaps ? Math.max(this.best, this.slack + gap) : this.best
  }

  walk(): void {
    const { frame, nodes, near, gapOf, box, plane, childGap } = this
    const { child, order } = frame
    const fb = frame.box
    const lx = box[0]!
    const ly = box[1]!
    const lz = box[2]!
    const hx = box[3]!
    const hy = box[4]!
    const hz = box[5]!
    const nx = plane[0]!
    const ny = plane[1]!
    const nz = plane[2]!
    const offset = plane[3]!
    const ax = Math.abs(nx)
    const ay = Math.abs(ny)
    const az = Math.abs(nz)
    let top = 1
    nodes[0] = 0
    near[0] = 0
    gapOf[0] = Infinity
    while (top > 0) {
      top--
      if (near[top]! > 0 && near[top]! >= this.reach(gapOf[top]!)) continue
      const node = nodes[top]!
      let pushed = -1
      for (let side = 0; side < 2; side++) {
        const at = 12 * node + 6 * side
        const x0 = fb[at]!
        const y0 = fb[at + 1]!
        const z0 = fb[at + 2]!
        const x1 = fb[at + 3]!
        const y1 = fb[at + 4]!
        const z1 = fb[at + 5]!
        const gap = childGap ? childGap[2 * node + side]! : 0
        const reach = this.reach(gap)
        const dx = Math.max(x0 - hx, lx - x1, 0)
        const dy = Math.max(y0 - hy, ly - y1, 0)
        const dz = Math.max(z0 - hz, lz - z1, 0)
        const d2 = dx * dx + dy * dy + dz * dz
        if (!(d2 < reach * reach)) continue
        const across =
          Math.abs(nx * (x0 + x1) + ny * (y0 + y1) + nz * (z0 + z1) - 2 * offset) -
          ax * (x1 - x0) -
          ay * (y1 - y0) -
          az * (z1 - z0)
        if (across >= 2 * reach) continue
        const c = child[2 * node + side]!
        if (c < 0) {
          const start = leafStart(c)
          for (let i = start + leafCount(c) - 1; i >= start; i--) this.tryFacet(order[i]!)
          continue
        }
        const apart = Math.max(Math.sqrt(d2), across / 2)
        // Of two children that are kept, the nearer goes on top.
        let slot = top
        if (pushed >= 0 && near[pushed]! < apart) {
          nodes[top] = nodes[pushed]!
          near[top] = near[pushed]!
          gapOf[top] = gapOf[pushed]!
          slot = pushed
        }
        nodes[slot] = c
        near[slot] = apart
        gapOf[slot] = gap
        pushed = top++
      }
    }
  }

  tryFacet(g: number): void {
    const { other, found, box, plane, result, gaps } = this
    const gap = gaps ? gaps[g]! : this.gap
    const reach = this.reach(gap)
    loadFacet(this.frame.mesh, g, 0, 0, 0, other)
    const p = plane[0]! * other[0]! + plane[1]! * other[1]! + plane[2]! * other[2]! - plane[3]!
    const q = plane[0]! * other[3]! + plane[1]! * other[4]! + plane[2]! * other[5]! - plane[3]!
    const r = plane[0]! * other[6]! + plane[1]! * other[7]! + plane[2]! * other[8]! - plane[3]!
    if ((p >= reach && q >= reach && r >= reach) || (p <= -reach && q <= -reach && r <= -reach)) return
    const dx = Math.max(
      Math.min(other[0]!, other[3]!, other[6]!) - box[3]!,
      box[0]! - Math.max(other[0]!, other[3]!, other[6]!),
      0,
    )
    const dy = Math.max(
      Math.min(other[1]!, other[4]!, other[7]!) - box[4]!,
      box[1]! - Math.max(other[1]!, other[4]!, other[7]!),
      0,
    )
    const dz = Math.max(
      Math.min(other[2]!, other[5]!, other[8]!) - box[5]!,
      box[2]! - Math.max(other[2]!, other[5]!, other[8]!),
      0,
    )
    if (dx * dx + dy * dy + dz * dz >= reach * reach) return
    const d2 = triangleDistance2(this.corners, other, found, reach * reach)
    if (!(d2 < reach * reach)) return
    const d = Math.sqrt(d2)
    const f = this.own
    if (d < this.best) {
      this.best = d
      result.distance[f] = d
      if (d < this.least) {
        this.least = d
        result.nearest = f
        this.keepPair(result.nearestPair, 0)
      }
    }
    if (d - gap < this.slack) {
      this.slack = d - gap
      result.margin[f] = d - gap
      result.frameFacet[f] = g
      this.keepPair(result.witness, 6 * f)
    }
  }

  keepPair(pairs: Float64Array, at: number): void {
    const { found } = this
    const [x, y, z] = this.frame.mesh.origin
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
