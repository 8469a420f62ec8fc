/**
 * A mould in two halves: the plane that parts them and a pull for each, so that as little as possible stays locked.
 */
import { adjacency } from '../geometry/adjacency'
import type { Direction, Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { cosDeg, sinDeg, square } from '../geometry/portable-math'
import { facetSides, planView, SIDE, unitPull } from './plan-view'
import { lockedShares } from './undercut'

export interface SplitOptions {
  /** The pull of the mould in one piece; the halves' pulls lean from it to their own sides. */
  readonly pull: Direction
  /** Tried first, and kept unless another is better by a hundredth of what stays locked. */
  readonly centreline: { readonly normal: Direction; readonly offset_mm: number }
}

export interface Split {
  readonly plane: { readonly normal: Direction; readonly offset_mm: number }
  /** Pull of the half on the side where the normal points, and of the other. */
  readonly pulls: readonly [Direction, Direction]
  /** What stays locked with both halves, and what is locked in one piece, mm2. */
  readonly locked_mm2: number
  readonly lockedWhole_mm2: number
  /** Length of the line along which the plane cuts the part, mm. */
  readonly partingLine_mm: number
  /** True if the centreline was kept. */
  readonly centreline: boolean
}

/** How far a half's pull leans from the common one to its own side, degrees. */
const LEANS = [0, 10, 20, 30, 45, 60, 75, 90]
/** Where other planes are tried: shares of the extent along their normal. */
const PLACES = [0.2, 0.35, 0.5, 0.65, 0.8]

/**
 * The centreline first, then planes across the two directions across the pull at five places each; for each half eight
 * pulls that lean to its side. Facets that the plane cuts count on each side by their share of area there.
 *
 * @throws Refused `setting-impossible` for a pull or normal without length
 */
export function* findSplit(mesh: Mesh, options: SplitOptions): Steps<Split> {
  const pull = unitPull(options.pull)
  const shape = yield* within(0, 0.02, 'split', facetShape(mesh))
  const neighbours = yield* within(0.02, 0.05, 'split', adjacency(mesh.indices, vertexCount(mesh)))
  const view = yield* within(0.05, 0.06, 'split', planView(mesh, pull))
  const planes: { normal: Direction; offset_mm: number }[] = [
    { normal: unitPull(options.centreline.normal), offset_mm: options.centreline.offset_mm },
  ]
  for (const axis of [0, 1] as const) {
    const normal = axis === 0 ? view.u : view.v
    const shift = normal[0] * mesh.origin[0] + normal[1] * mesh.origin[1] + normal[2] * mesh.origin[2]
    for (const place of PLACES)
      planes.push({ normal, offset_mm: shift + view.min[axis] + place * (view.max[axis] - view.min[axis]) })
  }

  // Locked area per facet for every pull that any half may take; planes share their pulls.
  const known = new Map<string, Float32Array>()
  const lockedAlong = function* (direction: Direction): Steps<Float32Array> {
    const key = direction.map((c) => c.toFixed(9)).join()
    let shares = known.get(key)
    if (!shares) {
      const own = yield* planView(mesh, direction)
      const side = yield* facetSides(own)
      const result = yield* lockedShares(own, side, shape, neighbours)
      shares = result.share.map((s, f) => (side[f] === SIDE.away ? 1 : s) * shape.areas_mm2[f]!)
      known.set(key, shares)
    }
    return shares
  }
  const whole = yield* within(0.06, 0.1, 'split', lockedAlong(pull))
  const lockedWhole_mm2 = whole.reduce((sum, a) => sum + a, 0)

  let best: Split | null = null
  for (let i = 0; i < planes.length; i++) {
    const plane = planes[i]!
    const part = shareInFront(mesh, plane)
    const halves: { pull: Direction; locked: number }[] = []
    for (const hand of [1, -1] as const) {
      let least: { pull: Direction; locked: number } | null = null
      for (const lean of LEANS) {
        const direction = leaning(pull, plane.normal, hand * lean)
        const from = 0.1 + (0.9 * i) / planes.length
        const locked = yield* within(from, from, 'split', lockedAlong(direction))
        let sum = 0
        for (let f = 0; f < locked.length; f++) sum += locked[f]! * (hand > 0 ? part[f]! : 1 - part[f]!)
        // The least lean that is as good: a mould half that comes off nearly straight is easier to build.
        if (!least || sum < least.locked - 1e-6 * (1 + least.locked)) least = { pull: direction, locked: sum }
      }
      halves.push(least!)
    }
    const locked_mm2 = halves[0]!.locked + halves[1]!.locked
    const split: Split = {
      plane,
      pulls: [halves[0]!.pull, halves[1]!.pull],
      locked_mm2,
      lockedWhole_mm2,
      partingLine_mm: lineLength(mesh, plane),
      centreline: i === 0,
    }
    if (!best || locked_mm2 < best.locked_mm2 * 0.99 - 1e-6) best = split
  }
  return best!
}

/** The pull turned towards the plane's normal by `deg` (away from it if negative). */
function leaning(pull: Direction, normal: Direction, deg: number): Direction {
  const along = pull[0] * normal[0] + pull[1] * normal[1] + pull[2] * normal[2]
  const flat = [0, 1, 2].map((k) => pull[k]! - along * normal[k]!) as [number, number, number]
  const c = cosDeg(deg)
  const s = sinDeg(deg)
  if (flat[0] * flat[0] + flat[1] * flat[1] + flat[2] * flat[2] < 1e-12)
    return deg < 0 ? [-normal[0], -normal[1], -normal[2]] : normal
  const up = unitPull(flat)
  return unitPull([c * up[0] + s * normal[0], c * up[1] + s * normal[1], c * up[2] + s * normal[2]])
}

/** Share of each facet's area on the side where the normal points. */
function shareInFront(mesh: Mesh, plane: { normal: Direction; offset_mm: number }): Float32Array {
  const out = new Float32Array(facetCount(mesh))
  const h = [0, 0, 0]
  for (let f = 0; f < out.length; f++) {
    heights(mesh, plane, f, h)
    h.sort((a, b) => a - b)
    const [low, middle, high] = h as [number, number, number]
    if (low >= 0) out[f] = 1
    else if (high <= 0) out[f] = 0
    // One corner in front: a similar triangle; two in front: all but one.
    else if (middle <= 0) out[f] = (high / (high - low)) * (high / (high - middle))
    else out[f] = 1 - (low / (low - high)) * (low / (low - middle))
  }
  return out
}

/** Length of the line along which the plane cuts the mesh, mm. */
function lineLength(mesh: Mesh, plane: { normal: Direction; offset_mm: number }): number {
  const { positions: p, indices } = mesh
  const h = [0, 0, 0]
  let sum = 0
  for (let f = 0; f < facetCount(mesh); f++) {
    heights(mesh, plane, f, h)
    const ends: Point[] = []
    for (let k = 0; k < 3; k++) {
      const a = h[k]!
      const b = h[(k + 1) % 3]!
      if (a < 0 === b < 0) continue
      const t = a / (a - b)
      const i = 3 * indices[3 * f + k]!
      const j = 3 * indices[3 * f + ((k + 1) % 3)]!
      ends.push([
        p[i]! + t * (p[j]! - p[i]!),
        p[i + 1]! + t * (p[j + 1]! - p[i + 1]!),
        p[i + 2]! + t * (p[j + 2]! - p[i + 2]!),
      ])
    }
    if (ends.length !== 2) continue
    const [a, b] = ends as [Point, Point]
    sum += Math.sqrt(square(a[0] - b[0]) + square(a[1] - b[1]) + square(a[2] - b[2]))
  }
  return sum
}

function heights(
  mesh: Mesh,
  { normal, offset_mm }: { normal: Direction; offset_mm: number },
  f: number,
  out: number[],
): void {
  const { positions: p, indices, origin } = mesh
  const own = offset_mm - (normal[0] * origin[0] + normal[1] * origin[1] + normal[2] * origin[2])
  for (let k = 0; k < 3; k++) {
    const i = 3 * indices[3 * f + k]!
    out[k] = normal[0] * p[i]! + normal[1] * p[i + 1]! + normal[2] * p[i + 2]! - own
  }
}
