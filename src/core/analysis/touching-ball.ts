/**
 * The largest ball that touches a surface at a point, on one side, without entering it: its radius is the least inside
 * radius there (tool side), and its diameter the thickness (metal side).
 *
 * One walk through the tree in which the ball shrinks as it goes: balls that touch at the same point lie inside each other, so
 * what the larger one did not reach the smaller one does not reach either. Two to four times faster than asking for the
 * closest point again and again.
 */
import { closestOnTriangle, pointTriangleDistance2 } from '../geometry/point-triangle'
import type { TriangleTree } from '../geometry/triangle-tree'

export interface TouchingBall {
  /** mm */
  radius: number
  /** The facet that stopped the ball, −1: none, the radius is the limit. */
  facet: number
  /** Where it was stopped, about the mesh's origin, mm. */
  x: number
  y: number
  z: number
}

export const makeTouchingBall = (): TouchingBall => ({ radius: 0.5, facet: -1, x: 0.5, y: 0.5, z: 0.5 })

const stack = new Int32Array(256)
const found = new Float64Array(5)

/**
 * @param p     point on the surface about the mesh's origin, mm
 * @param n     unit normal towards the ball's side
 * @param limit largest radius looked for, mm
 * @param entry how deep the surface may enter the ball, mm: the sag of its facets, and its noise. A ball through p with a
 *              point x exactly that deep has r = (|x − p|² − d²) / (2 (n·(x − p) − d))
 * @param skip  facet of p
 * @param out   written
 */
export function touchingBall(
  tree: TriangleTree,
  px: number,
  py: number,
  pz: number,
  nx: number,
  ny: number,
  nz: number,
  limit: number,
  entry: number,
  skip: number,
  out: TouchingBall,
): void {
  const { child, box, order, mesh } = tree
  const { positions: p, indices } = mesh
  let r = limit
  let cx = px + r * nx
  let cy = py + r * ny
  let cz = pz + r * nz
  let reach2 = (r - entry) * (r - entry)
  out.facet = -1
  if (!(limit > entry)) {
    out.radius = limit
    return
  }
  let top = 0
  stack[top++] = 0
  while (top > 0) {
    const node = stack[--top]!
    if (node >= 0) {
      const at = 12 * node
      let dx = Math.max(box[at]! - cx, 0, cx - box[at + 3]!)
      let dy = Math.max(box[at + 1]! - cy, 0, cy - box[at + 4]!)
      let dz = Math.max(box[at + 2]! - cz, 0, cz - box[at + 5]!)
      const first = dx * dx + dy * dy + dz * dz
      dx = Math.max(box[at + 6]! - cx, 0, cx - box[at + 9]!)
      dy = Math.max(box[at + 7]! - cy, 0, cy - box[at + 10]!)
      dz = Math.max(box[at + 8]! - cz, 0, cz - box[at + 11]!)
      const second = dx * dx + dy * dy + dz * dz
      // The nearer child on top: it shrinks the ball for the other.
      if (first < second) {
        if (second < reach2) stack[top++] = child[2 * node + 1]!
        if (first < reach2) stack[top++] = child[2 * node]!
      } else {
        if (first < reach2) stack[top++] = child[2 * node]!
        if (second < reach2) stack[top++] = child[2 * node + 1]!
      }
      continue
    }
    const start = ~node >>> 2
    for (let i = start + (~node & 3); i >= start; i--) {
      const f = order[i]!
      if (f === skip) continue
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const ax = p[a]!
      const ay = p[a + 1]!
      const az = p[a + 2]!
      const bx = p[b]!
      const by = p[b + 1]!
      const bz = p[b + 2]!
      const qx = p[c]!
      const qy = p[c + 1]!
      const qz = p[c + 2]!
      if (pointTriangleDistance2(cx, cy, cz, ax, ay, az, bx, by, bz, qx, qy, qz) >= reach2) continue
      // A smaller ball touches the same facet elsewhere: until this facet is content.
      for (let again = 0; again < 32; again++) {
        closestOnTriangle(cx, cy, cz, ax, ay, az, bx, by, bz, qx, qy, qz, found)
        const x = found[0]! - px
        const y = found[1]! - py
        const z = found[2]! - pz
        const ex = found[0]! - cx
        const ey = found[1]! - cy
        const ez = found[2]! - cz
        if (ex * ex + ey * ey + ez * ez >= reach2) break
        const d2 = x * x + y * y + z * z - entry * entry
        const ahead = nx * x + ny * y + nz * z - entry
        // Nearer to p than the entry allowed: it cannot stop a ball.
        if (!(d2 > 0 && ahead > 0)) break
        const next = d2 / (2 * ahead)
        if (!(next < r)) break
        const settled = next > r * (1 - 1e-7)
        r = next
        out.facet = f
        out.x = found[0]!
        out.y = found[1]!
        out.z = found[2]!
        if (r <= entry) {
          out.radius = r
          return
        }
        cx = px + r * nx
        cy = py + r * ny
        cz = pz + r * nz
        reach2 = (r - entry) * (r - entry)
        if (settled) break
      }
    }
  }
  out.radius = r
}
