/** Swing and keep-out volumes against everything: how deep what stands in them reaches, and where. */
import { BLOCK, type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import type { Finding } from '../geometry/trouble'
import { dot, plus, type Vec } from '../geometry/vectors'
import type { KeepOut } from './fastening-settings'
import { type RoomAxes, roomAxes, roomDistance, roomMesh } from './keep-out-shape'
import { standOf } from './stand-axes'
import type { PlacedFitting, RoomCheck, RoomIntruder } from './types'

/** A part may touch the border of a room by this much, mm: what stands on a shell touches it. */
export const TOUCH_MM = 0.5
/** Depths are found to this, mm; in a sector wider than half a turn, which is not convex, to the second. */
const EXACT_MM = 0.01
const ROUGH_MM = 0.25
/** What is further off is not looked for, mm. */
const NEAR_MM = 500

export interface RoomItem {
  readonly placed: PlacedFitting
  readonly rooms: readonly KeepOut[]
}

export interface RoomObstacle {
  readonly name: string
  readonly mesh: Mesh<'job'>
  /** Of a fitting: its own rooms do not mind it. */
  readonly of: PlacedFitting | null
}

/** Every room against every obstacle but its own fitting. */
export function* checkRooms(
  items: readonly RoomItem[],
  obstacles: readonly RoomObstacle[],
): Steps<{ rooms: RoomCheck[]; findings: Finding[] }> {
  const rooms: RoomCheck[] = []
  const findings: Finding[] = []
  const all = items.flatMap(({ placed, rooms: own }) => own.map((room, number) => ({ placed, room, number })))
  for (const [i, { placed, room, number }] of all.entries()) {
    const axes = roomAxes(standOf(placed), room)
    const against: RoomIntruder[] = []
    for (const [k, obstacle] of obstacles.entries()) {
      if (obstacle.of === placed) continue
      const part = (k + 1) / obstacles.length
      const near = yield* within(
        (i + part - 1 / obstacles.length) / all.length,
        (i + part) / all.length,
        room.name,
        deepest(obstacle.mesh, room, axes),
      )
      if (!near) continue
      against.push({ what: obstacle.name, depth_mm: -near.distance_mm, where: near.at })
      if (near.distance_mm < -TOUCH_MM) findings.push(intruded(placed, room, number, k, obstacle.name, near))
    }
    against.sort((a, b) => b.depth_mm - a.depth_mm)
    const { id, twin } = placed
    rooms.push({ fitting: id, twin, name: room.name, shape: room.shape, mesh: roomMesh(room, axes), against })
  }
  return { rooms, findings }
}

export interface Deepest {
  /** Signed distance of the deepest place, below 0 within the room. */
  readonly distance_mm: number
  readonly at: Vec
}

/**
 * The place of a mesh that lies deepest in a room, or nearest to it: facets are halved as long as they could still hold a deeper
 * place, since the signed distance changes by no more than one moves. Within 0.01 mm of the true depth
 * (0.25 mm in a sector wider than half a turn). Null: nothing within
 * 500 mm. A room wholly within a closed body meets no surface and is not seen.
 */
export function* deepest(mesh: Mesh<'job'>, room: KeepOut, axes: RoomAxes): Steps<Deepest | null> {
  const distance = roomDistance(room)
  const turn = Math.abs(room.to_deg - room.from_deg)
  const convex = room.shape !== 'sector' || turn <= 180 || turn >= 360
  const { positions: p, indices, origin } = mesh
  const from = plus(origin, axes.at, -1)
  const [ox, oy, oz] = [dot(from, axes.x), dot(from, axes.y), dot(from, axes.z)]
  const n = p.length / 3
  const local = new Float64Array(3 * n)
  const search = { best: NEAR_MM, x: 0, y: 0, z: 0, found: false }
  const take = (x: number, y: number, z: number): number => {
    const d = distance(x, y, z)
    if (d < search.best) Object.assign(search, { best: d, x, y, z, found: true })
    return d
  }
  for (let v = 0; v < n; v++) {
    const q: Vec = [p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!]
    const x = dot(q, axes.x) + ox
    const y = dot(q, axes.y) + oy
    const z = dot(q, axes.z) + oz
    local[3 * v] = x
    local[3 * v + 1] = y
    local[3 * v + 2] = z
    take(x, y, z)
    if (v % BLOCK === 0) yield (0.4 * v) / n
  }
  const stack = new Float64Array(9 * 64)
  for (let f = 0; f < indices.length; f += 3) {
    for (let c = 0; c < 3; c++) for (let k = 0; k < 3; k++) stack[3 * c + k] = local[3 * indices[f + c]! + k]!
    split(stack, search, take, distance, convex)
    if (f % (3 * BLOCK) === 0) yield 0.4 + (0.6 * f) / indices.length
  }
  if (!search.found) return null
  const at = plus(plus(plus(axes.at, axes.x, search.x), axes.y, search.y), axes.z, search.z)
  return { distance_mm: search.best, at }
}

type Distance = (x: number, y: number, z: number) => number

/** Step of the slope, mm. */
const H = 1e-4

/**
 * Works off the facet in the first nine numbers of the stack: its longest edge is halved, depth first. Two bounds end it: what
 * the distance can change by over the piece, and (where the room is convex, so that its distance is too) the slope in the middle,
 * below which no place of the piece lies: without the second a wall that runs along the border would be cut into dust.
 */
function split(
  stack: Float64Array,
  search: { best: number },
  take: Distance,
  distance: Distance,
  convex: boolean,
): void {
  const exact = convex ? EXACT_MM : ROUGH_MM
  let top = 1
  while (top > 0) {
    top--
    const t = 9 * top
    const [ax, ay, az] = [stack[t]!, stack[t + 1]!, stack[t + 2]!]
    const [bx, by, bz] = [stack[t + 3]!, stack[t + 4]!, stack[t + 5]!]
    const [cx, cy, cz] = [stack[t + 6]!, stack[t + 7]!, stack[t + 8]!]
    const [x, y, z] = [(ax + bx + cx) / 3, (ay + by + cy) / 3, (az + bz + cz) / 3]
    const reach2 = Math.max(
      square(ax - x) + square(ay - y) + square(az - z),
      square(bx - x) + square(by - y) + square(bz - z),
      square(cx - x) + square(cy - y) + square(cz - z),
    )
    const here = take(x, y, z)
    if (here - Math.sqrt(reach2) >= search.best - exact || top > 60) continue
    if (convex) {
      const gx = (distance(x + H, y, z) - distance(x - H, y, z)) / (2 * H)
      const gy = (distance(x, y + H, z) - distance(x, y - H, z)) / (2 * H)
      const gz = (distance(x, y, z + H) - distance(x, y, z - H)) / (2 * H)
      const least = Math.min(
        gx * (ax - x) + gy * (ay - y) + gz * (az - z),
        gx * (bx - x) + gy * (by - y) + gz * (bz - z),
        gx * (cx - x) + gy * (cy - y) + gz * (cz - z),
      )
      if (here + least >= search.best - exact) continue
    }
    const ab = square(ax - bx) + square(ay - by) + square(az - bz)
    const bc = square(bx - cx) + square(by - cy) + square(bz - cz)
    const ca = square(cx - ax) + square(cy - ay) + square(cz - az)
    // Turned so that the longest edge runs from the first corner to the second.
    const o =
      ab >= bc && ab >= ca
        ? [ax, ay, az, bx, by, bz, cx, cy, cz]
        : bc >= ca
          ? [bx, by, bz, cx, cy, cz, ax, ay, az]
          : [cx, cy, cz, ax, ay, az, bx, by, bz]
    const [mx, my, mz] = [(o[0]! + o[3]!) / 2, (o[1]! + o[4]!) / 2, (o[2]! + o[5]!) / 2]
    take(mx, my, mz)
    stack.set([o[0]!, o[1]!, o[2]!, mx, my, mz, o[6]!, o[7]!, o[8]!], t)
    stack.set([mx, my, mz, o[3]!, o[4]!, o[5]!, o[6]!, o[7]!, o[8]!], t + 9)
    top += 2
  }
}

function intruded(
  { id, name, twin }: PlacedFitting,
  room: KeepOut,
  number: number,
  obstacle: number,
  what: string,
  { distance_mm, at }: Deepest,
): Finding {
  return {
    id: `fitting.room.${id}${twin ? '.twin' : ''}.${number + 1}.${obstacle + 1}`,
    step: 'fitting',
    severity: 'hold',
    message: `${room.name} of ${name}${twin ? ' (twin)' : ''} is not free: ${what} reaches ${(-distance_mm).toFixed(1)} mm into it.`,
    advice:
      'Move or turn the fitting, or what stands in the way; or say a smaller room if it is larger than it must be.',
    where: [at[0], at[1], at[2]],
    value: -distance_mm,
    limit: 0,
    unit: 'mm',
  }
}
