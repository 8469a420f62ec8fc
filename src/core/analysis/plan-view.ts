/**
 * A mesh looked at along the pull: every vertex as u, v (across the pull) and w (along it).
 *
 * All rays of one pull are parallel, so the question “what lies ahead?” is a question in the plane u, v with heights w.
 */
import type { Direction, Point } from '../geometry/axes'
import { BLOCK, type Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'

export interface PlanView {
  readonly mesh: Mesh
  /** Unit vectors of the axes of the mesh; `w` is the pull. Right-handed. */
  readonly u: Direction
  readonly v: Direction
  readonly w: Direction
  /** u, v, w of each vertex about the mesh's origin, mm, in double. For a pull along +z these are x, y, z unchanged. */
  readonly uvw: Float64Array
  /** Least and greatest u, v, w. */
  readonly min: readonly [number, number, number]
  readonly max: readonly [number, number, number]
  /** One Float32 step of the largest coordinate, mm: what the file itself cannot tell apart. */
  readonly step_mm: number
}

/** A facet this many Float32 steps ahead counts as in the way; nearer ones touch. */
const TOUCH_STEPS = 8

/** How far ahead something must lie to be in the way, mm: `TOUCH_STEPS` Float32 steps of the largest coordinate. */
export const touch_mm = (view: PlanView): number => TOUCH_STEPS * view.step_mm

/** @throws Refused `setting-impossible` for a pull without length */
export function unitPull(pull: Point): Direction {
  const length = Math.sqrt(pull[0] * pull[0] + pull[1] * pull[1] + pull[2] * pull[2])
  if (!(length > 0 && length < Infinity))
    throw new Refused(
      'setting-impossible',
      `The pull ${pull.join(', ')} has no direction: give three numbers, not all zero.`,
    )
  return [pull[0] / length, pull[1] / length, pull[2] / length]
}

/** Two directions across the pull, by + − · / and square root only, so that every engine finds the same. */
export function acrossPull(pull: Direction): { u: Direction; v: Direction } {
  const [x, y, z] = pull
  const ax = Math.abs(x)
  const ay = Math.abs(y)
  const az = Math.abs(z)
  // Start from the coordinate axis that lies most across the pull.
  const k = ax <= ay && ax <= az ? 0 : ay <= az ? 1 : 2
  const along = pull[k]!
  const e = [-x * along, -y * along, -z * along]
  e[k]! += 1
  const u = unitPull([e[0]!, e[1]!, e[2]!])
  return { u, v: [y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0]] }
}

/**
 * @param pull any length; made a unit vector
 * @throws Refused `setting-impossible` for a pull without length
 */
export function* planView(mesh: Mesh, pull: Point): Steps<PlanView> {
  const w = unitPull(pull)
  const { u, v } = acrossPull(w)
  const p = mesh.positions
  const uvw = new Float64Array(p.length)
  const [ux, uy, uz] = u
  const [vx, vy, vz] = v
  const [wx, wy, wz] = w
  let minU = Infinity
  let minV = Infinity
  let minW = Infinity
  let maxU = -Infinity
  let maxV = -Infinity
  let maxW = -Infinity
  let largest = 0
  for (let from = 0; from < p.length; from += 12 * BLOCK) {
    const to = Math.min(p.length, from + 12 * BLOCK)
    for (let i = from; i < to; i += 3) {
      const x = p[i]!
      const y = p[i + 1]!
      const z = p[i + 2]!
      const a = ux * x + uy * y + uz * z
      const b = vx * x + vy * y + vz * z
      const c = wx * x + wy * y + wz * z
      uvw[i] = a
      uvw[i + 1] = b
      uvw[i + 2] = c
      if (a < minU) minU = a
      if (a > maxU) maxU = a
      if (b < minV) minV = b
      if (b > maxV) maxV = b
      if (c < minW) minW = c
      if (c > maxW) maxW = c
      const m = Math.max(x, -x, y, -y, z, -z)
      if (m > largest) largest = m
    }
    yield to / p.length
  }
  return {
    mesh,
    u,
    v,
    w,
    uvw,
    min: [minU, minV, minW],
    max: [maxU, maxV, maxW],
    step_mm: largest * 2 ** -23,
  }
}

/** How a facet stands to the pull. */
export const SIDE = { wall: 0, front: 1, away: 2 } as const

/**
 * Sorts the facets by how they stand to the pull: `front` faces it, `away` cannot leave, `wall` is parallel to it as far as
 * Float32 vertices can tell (then neither its sign nor its shadow means anything). Decided by the signed area in plan, not
 * by an angle. The rounding of two edges of lengths a, b (sum of u and v parts) moves that double area by up to 2 steps ·
 * (a + b).
 *
 * @returns one of `SIDE` per facet; facets without area are walls
 */
export function* facetSides(view: PlanView): Steps<Uint8Array> {
  const { uvw, mesh, step_mm } = view
  const { indices } = mesh
  const side = new Uint8Array(indices.length / 3)
  const slack = 2 * step_mm
  for (let from = 0; from < side.length; from += 4 * BLOCK) {
    const to = Math.min(side.length, from + 4 * BLOCK)
    for (let f = from; f < to; f++) {
      const a = 3 * indices[3 * f]!
      const b = 3 * indices[3 * f + 1]!
      const c = 3 * indices[3 * f + 2]!
      const au = uvw[a]!
      const av = uvw[a + 1]!
      const bu = uvw[b]! - au
      const bv = uvw[b + 1]! - av
      const cu = uvw[c]! - au
      const cv = uvw[c + 1]! - av
      const twice = bu * cv - bv * cu
      const doubt = slack * (Math.abs(bu) + Math.abs(bv) + Math.abs(cu) + Math.abs(cv))
      if (twice > doubt) side[f] = SIDE.front
      else if (twice < -doubt) side[f] = SIDE.away
    }
    yield to / side.length
  }
  return side
}
