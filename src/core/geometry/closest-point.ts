import { closestOnTriangle, type Feature, facetDistance2 } from './point-triangle'
import type { TriangleTree } from './triangle-tree'

/** The answer of `closestPoint`. One object is made by the caller and written again and again: nothing is allocated per query. */
export interface Nearest {
  /** mm; Infinity when nothing lies within the limit. */
  distance: number
  /** −1 when nothing lies within the limit. */
  facet: number
  /** The point on the mesh, axes of the mesh, mm (origin added). */
  x: number
  y: number
  z: number
  /** Weights of the facet's second and third corner at that point. */
  v: number
  w: number
  /** Corner, edge or face of the facet that holds it (see `FEATURE`). */
  feature: Feature
}

export function makeNearest(): Nearest {
  // Fractions on purpose: fields that start as doubles stay doubles in the engine.
  return { distance: 0.5, facet: -1, x: 0.5, y: 0.5, z: 0.5, v: 0.5, w: 0.5, feature: 0 }
}

const STACK = 160
const nodeStack = new Int32Array(STACK)
const distanceStack = new Float64Array(STACK)
const found = new Float64Array(5)

/**
 * The point of a mesh nearest to (x, y, z), exact: all arithmetic in double on the stored positions.
 *
 * @param limit mm; nothing further away is looked for (a point exactly at the limit is not found). Infinity: no limit
 * @param out   written; where several facets are equally near, one of them
 * @param seed  facet to try first (the previous answer in a walk over neighbouring points makes it about 1.4 times faster); −1: none
 *
 * @example
 * const near = makeNearest()
 * closestPoint(tree, x, y, z, 50, near)
 * if (near.facet >= 0) gap[i] = near.distance
 */
export function closestPoint(
  tree: TriangleTree,
  x: number,
  y: number,
  z: number,
  limit: number,
  out: Nearest,
  seed = -1,
): void {
  const { child, box, order, mesh } = tree
  const { positions, indices } = mesh
  const px = x - mesh.origin[0]
  const py = y - mesh.origin[1]
  const pz = z - mesh.origin[2]
  let best = limit * limit
  let facet = -1
  if (seed >= 0) {
    const d = facetDistance2(positions, indices, seed, px, py, pz)
    if (d < best) {
      best = d
      facet = seed
    }
  }
  let top = 0
  let node = 0
  for (;;) {
    // Both children of `node` are judged by the boxes stored in it.
    const at = 12 * node
    let dx = Math.max(box[at]! - px, 0, px - box[at + 3]!)
    let dy = Math.max(box[at + 1]! - py, 0, py - box[at + 4]!)
    let dz = Math.max(box[at + 2]! - pz, 0, pz - box[at + 5]!)
    let near = dx * dx + dy * dy + dz * dz
    dx = Math.max(box[at + 6]! - px, 0, px - box[at + 9]!)
    dy = Math.max(box[at + 7]! - py, 0, py - box[at + 10]!)
    dz = Math.max(box[at + 8]! - pz, 0, pz - box[at + 11]!)
    let far = dx * dx + dy * dy + dz * dz
    let nearChild = child[2 * node]!
    let farChild = child[2 * node + 1]!
    if (far < near) {
      const d = near
      near = far
      far = d
      const c = nearChild
      nearChild = farChild
      farChild = c
    }
    node = -1
    if (near < best) {
      if (nearChild >= 0) node = nearChild
      else {
        const start = ~nearChild >>> 2
        for (let i = start + (~nearChild & 3); i >= start; i--) {
          const f = order[i]!
          const d = facetDistance2(positions, indices, f, px, py, pz)
          if (d < best) {
            best = d
            facet = f
          }
        }
      }
      if (far < best) {
        if (farChild >= 0) {
          if (node < 0) node = farChild
          else {
            nodeStack[top] = farChild
            distanceStack[top++] = far
          }
        } else {
          const start = ~farChild >>> 2
          for (let i = start + (~farChild & 3); i >= start; i--) {
            const f = order[i]!
            const d = facetDistance2(positions, indices, f, px, py, pz)
            if (d < best) {
              best = d
              facet = f
            }
          }
        }
      }
    }
    if (node >= 0) continue
    do {
      if (top === 0) {
        writeNearest(tree, px, py, pz, facet, out)
        return
      }
      top--
    } while (distanceStack[top]! >= best)
    node = nodeStack[top]!
  }
}

function writeNearest(tree: TriangleTree, px: number, py: number, pz: number, facet: number, out: Nearest): void {
  out.facet = facet
  if (facet < 0) {
    out.distance = Infinity
    out.x = out.y = out.z = out.v = out.w = Number.NaN
    out.feature = 0
    return
  }
  const { positions, indices, origin } = tree.mesh
  const a = 3 * indices[3 * facet]!
  const b = 3 * indices[3 * facet + 1]!
  const c = 3 * indices[3 * facet + 2]!
  out.feature = closestOnTriangle(
    px,
    py,
    pz,
    positions[a]!,
    positions[a + 1]!,
    positions[a + 2]!,
    positions[b]!,
    positions[b + 1]!,
    positions[b + 2]!,
    positions[c]!,
    positions[c + 1]!,
    positions[c + 2]!,
    found,
  )
  const dx = px - found[0]!
  const dy = py - found[1]!
  const dz = pz - found[2]!
  out.distance = Math.sqrt(dx * dx + dy * dy + dz * dz)
  out.x = found[0]! + origin[0]
  out.y = found[1]! + origin[1]
  out.z = found[2]! + origin[2]
  out.v = found[3]!
  out.w = found[4]!
}
