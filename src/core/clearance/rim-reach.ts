import { facetCount, type Mesh } from '../geometry/mesh'

/**
 * The rims of the holes in a scan, and how far metal that the scanner did not see may reach from them: as far as the hole
 * is wide. Two rims belong to one hole if the space between their boxes is less than the sum of their sizes (a tube seen
 * from both ends but not in between). A stretch of tube missing over more than that leaves two holes; it is a fault that
 * shows as such, but its middle is beyond this reach.
 */
export interface RimReach {
  /** Is this corner, or this edge between two corners, on a rim? */
  isRimVertex(v: number): boolean
  isRimEdge(v: number, w: number): boolean
  /** Width of the hole that this rim vertex belongs to, mm; 0 for a vertex on no rim. */
  reach(v: number): number
  /** Is there a rim vertex at all? */
  readonly any: boolean
  /** The widest hole, mm; 0 if there is none. */
  readonly widest: number
}

/**
 * A filled hole is as wide as it was open: its filling is passed over when rim edges are counted, and belongs to its rim.
 *
 * @param rimVertex   one per vertex, 1 on the rim of a hole and at the corners of its filling
 * @param unseenFacet one per facet, 1 for the filling of a hole; `null`: none was filled
 */
export function rimReach(frame: Mesh, rimVertex: Uint8Array, unseenFacet: Uint8Array | null): RimReach {
  const { positions, indices } = frame
  if (rimVertex.length !== positions.length / 3)
    throw new Error('clearance: rim marks need one per vertex of the frame')
  const key = (v: number, w: number) => (v < w ? v * rimVertex.length + w : w * rimVertex.length + v)
  // Edges between two marked vertices, by how many facets use them: those used once are rim.
  const uses = new Map<number, number>()
  for (let f = 0; f < facetCount(frame); f++)
    for (let k = 0; k < 3 && !unseenFacet?.[f]; k++) {
      const v = indices[3 * f + k]!
      const w = indices[k === 2 ? 3 * f : 3 * f + k + 1]!
      if (rimVertex[v] && rimVertex[w]) uses.set(key(v, w), (uses.get(key(v, w)) ?? 0) + 1)
    }
  const parent = new Map<number, number>()
  const root = (v: number): number => {
    let top = v
    for (let up = parent.get(top); up !== undefined && up !== top; up = parent.get(top)) top = up
    for (let at = v; at !== top; ) {
      const up = parent.get(at)!
      parent.set(at, top)
      at = up
    }
    return top
  }
  for (let v = 0; v < rimVertex.length; v++) if (rimVertex[v]) parent.set(v, v)
  for (const [edge, count] of uses) {
    if (count !== 1) continue
    parent.set(root(Math.floor(edge / rimVertex.length)), root(edge % rimVertex.length))
  }
  if (unseenFacet)
    for (let f = 0; f < unseenFacet.length; f++)
      for (let k = 1; k < 3 && unseenFacet[f]; k++) parent.set(root(indices[3 * f + k]!), root(indices[3 * f]!))
  const boxes = new Map<number, number[]>()
  for (const v of parent.keys()) {
    const r = root(v)
    const box = boxes.get(r) ?? [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity]
    for (let k = 0; k < 3; k++) {
      box[k] = Math.min(box[k]!, positions[3 * v + k]!)
      box[k + 3] = Math.max(box[k + 3]!, positions[3 * v + k]!)
    }
    boxes.set(r, box)
  }
  const size = (b: readonly number[]) => Math.hypot(b[3]! - b[0]!, b[4]! - b[1]!, b[5]! - b[2]!)
  const between = (a: readonly number[], b: readonly number[]) =>
    Math.hypot(...[0, 1, 2].map((k) => Math.max(a[k]! - b[k + 3]!, b[k]! - a[k + 3]!, 0)))
  const rims = [...boxes]
  const width = new Map<number, number>()
  let widest = 0
  for (const [r, own] of rims) {
    const whole = own.slice()
    if (size(own) > 0)
      for (const [other, box] of rims) {
        if (other === r || between(own, box) > size(own) + size(box)) continue
        for (let k = 0; k < 3; k++) {
          whole[k] = Math.min(whole[k]!, box[k]!)
          whole[k + 3] = Math.max(whole[k + 3]!, box[k + 3]!)
        }
      }
    width.set(r, size(whole))
    widest = Math.max(widest, size(whole))
  }
  return {
    isRimVertex: (v) => rimVertex[v] === 1,
    isRimEdge: (v, w) => uses.get(key(v, w)) === 1,
    reach: (v) => (parent.has(v) ? width.get(root(v))! : 0),
    any: parent.size > 0,
    widest,
  }
}
