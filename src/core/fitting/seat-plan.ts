/** What is wanted of the shells, as outlines and lands in plan: one entry for each seat, each twin and each chase. */
import { transformPoint } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { cross, dot, plus, scaled, type Vec } from '../geometry/vectors'
import { basePlane } from './base-plane'
import { convexHull, footprintOf } from './footprint'
import { type Footprint, findSeat, partReference, poseOn, type Seat, type Stand, turnedInPlan } from './place'
import { highestAt, type PlanHeights } from './plan-heights'
import type { Side } from './seat-hole'
import {
  areMirrored,
  channelOutline,
  insideLoop,
  mirroredLoop,
  type PlanPoint,
  roundedOutline,
  symmetricHalf,
} from './seat-outline'
import { PAD_MM, RECESS_MM } from './seat-settings'
import type { Chase, SeatFeature, SeatItem, ShellName, Standing } from './seat-types'
import type { BasePlane } from './types'

/** Height of a land: a plane z = c + a x + b y, or so much over the shell (below it for a negative one). */
export type Land = { readonly plane: readonly [number, number, number] } | { readonly over_mm: number }

export interface Wish {
  readonly id: string
  readonly name: string
  readonly twin: boolean
  readonly kind: SeatFeature['kind']
  readonly on: ShellName
  /** Counter-clockwise, in plan; empty where nothing flat touches. */
  readonly loop: readonly PlanPoint[]
  readonly land: Land
  readonly raised: 1 | -1
  readonly draft_deg: number | null
  readonly edgeRadius_mm: number | null
  readonly footRadius_mm: number | null
  /** What stands there, to be measured before and after; `null` for a chase and for a blank. */
  readonly stands: { readonly stand: Stand; readonly footprint: Footprint; readonly base: BasePlane } | null
  readonly before: Standing | null
}

/** One feature on the centreline, a pair of mirror images (the one to port is made), or one alone. */
export interface Placing {
  readonly side: Side
  readonly own: Wish
  /** The mirror image, for a pair. */
  readonly other: Wish | null
}

export interface PlanOptions {
  readonly minRadius_mm: number
  readonly plans: { readonly [S in ShellName]: PlanHeights }
  readonly symmetric: { readonly [S in ShellName]: boolean }
}

/** A part that stands the other way round differs from its mirror image by less than this: they share one outline. */
const ALIKE_MM = 0.3
/** A land that leans sideways by less than this stands level across the centreline. */
const LEVEL = 1e-4
const GRID_MM = 8

export function* seatPlan(
  items: readonly SeatItem[],
  chases: readonly Chase[],
  options: PlanOptions,
): Steps<readonly Placing[]> {
  const placings: Placing[] = []
  for (const [i, item] of items.entries()) {
    const from = (0.9 * i) / items.length
    const base = yield* within(from, from + 0.9 / items.length, item.name, basePlane(item.mesh, item.baseNormal))
    placings.push(...placingsOf(item, base, options))
  }
  for (const chase of chases) placings.push(...chasePlacings(chase, options))
  // What is symmetric comes first: what is set in alone takes the mirror image from the shell around it.
  const order: readonly Side[] = ['centre', 'pair', 'alone']
  return order.flatMap((side) => placings.filter((p) => p.side === side))
}

function placingsOf(item: SeatItem, base: BasePlane, options: PlanOptions): Placing[] {
  const own = wishOf(item, base, item, false, options)
  if (item.mirror === false && !item.seat.bothSides) return placedAlone(own, null, options)
  const image = mirrorWish(own, item.mirror !== false)
  if (item.mirror !== 'position') return placedAlone(own, image, options)
  const stand = { ...item, at_mm: [item.at_mm[0], -item.at_mm[1]] as const, turn_deg: -item.turn_deg }
  const there = wishOf(item, base, stand, true, options)
  if (areMirrored(own.loop, there.loop, ALIKE_MM))
    return placedAlone(own, { ...image, stands: there.stands, before: there.before }, options)
  return [...placedAlone(own, null, options), ...placedAlone(there, null, options)]
}

function chasePlacings(chase: Chase, options: PlanOptions): Placing[] {
  const loop = channelOutline(chase.path_mm, chase.width_mm, chase.bendRadius_mm)
  const raised = chase.on === 'topside' ? -1 : 1
  const own: Wish = {
    ...chase,
    twin: false,
    kind: 'chase',
    loop,
    land: { over_mm: raised * chase.depth_mm },
    raised,
    stands: null,
    before: null,
  }
  return placedAlone(own, chase.mirror ? mirrorWish(own, true) : null, options)
}

/** Decides how one wish, and its mirror image if there is one, lie about the centreline. */
function placedAlone(own: Wish, other: Wish | null, { symmetric }: PlanOptions): Placing[] {
  const lone = (wish: Wish): Placing => ({ side: 'alone', own: wish, other: null })
  if (!symmetric[own.on]) return other ? [lone(own), lone(other)] : [lone(own)]
  const level = 'over_mm' in own.land || Math.abs(own.land.plane[2]) < LEVEL
  const half = level ? symmetricHalf(own.loop) : null
  if (half) {
    const land = 'over_mm' in own.land ? own.land : { plane: [own.land.plane[0], own.land.plane[1], 0] as const }
    return [{ side: 'centre', own: { ...own, loop: half, land }, other: null }]
  }
  if (!other) return [lone(own)]
  const port = own.loop.every(([, y]) => y > 0)
  const starboard = own.loop.every(([, y]) => y < 0)
  if (!port && !starboard) return [lone(own), lone(other)]
  return [port ? { side: 'pair', own, other } : { side: 'pair', own: other, other: own }]
}

/** @param stands false: a blank of the same shape, under nothing */
function mirrorWish(wish: Wish, stands: boolean): Wish {
  const { land, stands: own } = wish
  return {
    ...wish,
    twin: true,
    loop: mirroredLoop(wish.loop),
    land: 'over_mm' in land ? land : { plane: [land.plane[0], land.plane[1], -land.plane[2]] },
    stands:
      stands && own
        ? {
            ...own,
            stand: { ...own.stand, at_mm: [own.stand.at_mm[0], -own.stand.at_mm[1]], turn_deg: -own.stand.turn_deg },
            footprint: own.footprint.map(([u, v]) => [u, -v] as const),
          }
        : null,
    before: stands ? wish.before : null,
  }
}

function wishOf(item: SeatItem, base: BasePlane, stand: Stand, twin: boolean, options: PlanOptions): Wish {
  const { seat, on } = item
  const shell = options.plans[on]
  const footprint = footprintOf(item.mesh, base)
  const found = findSeat(shell, footprint, stand)
  const touching = inPlan(base, found, stand.turn_deg, footprint)
  const points = seat.kind === 'sunk' ? wholeInPlan(item.mesh, base, found, stand.turn_deg) : touching
  const { loop } = roundedOutline(points, seat.margin_mm, seat.cornerRadius_mm ?? options.minRadius_mm)
  const up = on === 'topside' ? 1 : -1
  const raised = seat.kind === 'pad' ? (up as 1 | -1) : (-up as 1 | -1)
  const by =
    seat.height_mm ?? (seat.kind === 'pad' ? PAD_MM : seat.kind === 'recess' ? RECESS_MM : bodyHeight(item.mesh, base))
  const [nx, ny, nz] = found.normal
  return {
    id: item.id,
    name: item.name,
    twin,
    kind: seat.kind === 'none' ? 'pad' : seat.kind,
    on,
    loop,
    land: { plane: landPlane(shell, loop, -nx / nz, -ny / nz, raised, by) },
    raised,
    draft_deg: seat.draft_deg,
    edgeRadius_mm: seat.edgeRadius_mm,
    footRadius_mm: seat.footRadius_mm,
    stands: { stand, footprint, base },
    before: standing(shell, footprint, stand),
  }
}

/** The plane parallel to the seat's that lies at least `by` above (below) the shell everywhere within the outline. */
function landPlane(
  shell: PlanHeights,
  loop: readonly PlanPoint[],
  a: number,
  b: number,
  raised: 1 | -1,
  by: number,
): readonly [number, number, number] {
  let most = -Infinity
  const look = (x: number, y: number) => {
    const over = raised * (highestAt(shell, x, y) - a * x - b * y)
    if (over > most) most = over
  }
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity]
  for (const [x, y] of loop) {
    look(x, y)
    x0 = Math.min(x0, x)
    x1 = Math.max(x1, x)
    y0 = Math.min(y0, y)
    y1 = Math.max(y1, y)
  }
  // Both signs alike, so that mirror images and what lies on the centreline are sampled alike.
  for (let x = GRID_MM * Math.ceil(x0 / GRID_MM); x <= x1; x += GRID_MM)
    for (let y = GRID_MM * Math.ceil(y0 / GRID_MM); y <= y1; y += GRID_MM) if (insideLoop(loop, x, y)) look(x, y)
  return [raised * (most + by), a, b]
}

/** Places of the base in plan, as it stands. */
function inPlan(base: BasePlane, seat: Seat, turn_deg: number, footprint: Footprint): PlanPoint[] {
  const pose = poseOn(seat, base, turn_deg)
  const ahead = partReference(base.normal)
  const left = cross(scaled(base.normal, -1), ahead)
  return footprint.map(([u, v]): PlanPoint => {
    const [x, y] = transformPoint(pose, plus(plus(base.at, ahead, u), left, v))
    return [x, y]
  })
}

function wholeInPlan(mesh: Mesh<'part'>, base: BasePlane, seat: Seat, turn_deg: number): PlanPoint[] {
  const pose = poseOn(seat, base, turn_deg)
  const { positions: p, origin: o } = mesh
  const points: PlanPoint[] = []
  for (let i = 0; i < p.length; i += 3) {
    const [x, y] = transformPoint(pose, [p[i]! + o[0], p[i + 1]! + o[1], p[i + 2]! + o[2]])
    points.push([x, y])
  }
  return convexHull(points)
}

/** How far the body reaches away from its base, mm. */
function bodyHeight(mesh: Mesh<'part'>, base: BasePlane): number {
  const up: Vec = scaled(base.normal, -1)
  let most = 0
  const { positions: p, origin: o } = mesh
  for (let i = 0; i < p.length; i += 3)
    most = Math.max(most, dot(plus([p[i]! + o[0], p[i + 1]! + o[1], p[i + 2]! + o[2]], base.at, -1), up))
  return most
}

/** How a base stands on a shell; its rim is the hull of its places. `null` where it does not lie wholly on the shell. */
export function standing(shell: PlanHeights, footprint: Footprint, stand: Stand): Standing | null {
  const seat = findSeat(shell, footprint, stand)
  if (!seat.onShell) return null
  const [nx, ny, nz] = seat.normal
  let rock_mm = 0
  for (const [u, v] of convexHull(footprint)) {
    const [dx, dy] = turnedInPlan(u, v, stand)
    const plane = seat.at[2] - (nx * dx + ny * dy) / nz
    const z = highestAt(shell, stand.at_mm[0] + dx, stand.at_mm[1] + dy)
    // Out of the shell is up on the topside and down on the underside; nz has that sign.
    if (!Number.isNaN(z)) rock_mm = Math.max(rock_mm, (plane - z) * nz)
  }
  return { gap_mm: seat.gap_mm, rock_mm }
}
