import { atanDeg, cosDeg, sinDeg, square } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { stepped, upperHalf } from './outline'
import type { PlanCurve } from './plan-curve'
import type { Carriers } from './plan-field'
import { fieldAt } from './plan-field'
import type { PlanGrid } from './plan-grid'
import { signedArea } from './rolling-ball'
import type { OutlineSetting } from './shape-types'

type Polygon = Extract<OutlineSetting, { from: 'polygon' }>

/** Two points nearer than this are one. */
const SAME_MM = 0.01
/** A drawn outline that is this far from its mirror image still counts as symmetric. */
const MIRROR_MM = 0.5
/** Where no radius is given, corners are rounded only as far as the sides allow. */
const CHORD_MM = 0.01
/** A drawn outline that lacks no more than this is moved out as a whole; beyond it is refused. */
export const MOST_MOVED_MM = 1

/**
 * The drawn outline as a curve: mirrored if it is a half, its corners rounded, counter-clockwise.
 *
 * @param symmetric whether the shell must be its own mirror image
 * @param least_mm  radius of corners that have none of their own
 * @throws Refused `shape-impossible` if it crosses itself, has no area, is not symmetric though asked, or a radius does not fit
 */
export function polygonCurve(outline: Polygon, symmetric: boolean, least_mm: number): PlanCurve {
  const corners = whole(outline)
  refuseCrossing(corners)
  if (symmetric && !outline.mirrored) refuseSkew(corners)
  const loop = rounded(corners, least_mm)
  const closed: PlanCurve = symmetric
    ? upperHalf(loop)
    : { x: loop.filter((_, k) => k % 2 === 0), y: loop.filter((_, k) => k % 2 === 1), mirrored: false }
  return stepped(closed)
}

interface Corner {
  readonly x: number
  readonly y: number
  readonly radius: number
  /** As the user counts them, from 1. */
  readonly number: number
}

function whole({ points, mirrored }: Polygon): Corner[] {
  let corners = points.map((p, k): Corner => ({ x: p.at_mm[0], y: p.at_mm[1], radius: p.radius_mm, number: k + 1 }))
  if (mirrored) {
    const beyond = corners.find((c) => c.y < -SAME_MM)
    if (beyond)
      throw new Refused(
        'shape-impossible',
        `clearance: point ${beyond.number} of the outline lies to starboard (y ${round(beyond.y)}) though the starboard half is the mirror image of the points; give the port half only, or all points and mirrored false.`,
      )
    // On the centreline a corner is its own image.
    const other = corners.filter((c) => c.y > SAME_MM).map((c) => ({ ...c, y: -c.y }))
    corners = [...corners.map((c) => (c.y <= SAME_MM ? { ...c, y: 0 } : c)), ...other.reverse()]
  }
  const kept = corners.filter((c, k) => {
    const next = corners[(k + 1) % corners.length]!
    return corners.length === 1 || square(c.x - next.x) + square(c.y - next.y) > SAME_MM * SAME_MM
  })
  const area = signedArea(Float64Array.from(kept.flatMap((c) => [c.x, c.y])))
  if (kept.length < 3 || Math.abs(area) < 10_000)
    throw new Refused(
      'shape-impossible',
      `clearance: the outline encloses only ${Math.round(Math.abs(area) / 100)} cm²; check its points and their unit.`,
    )
  return area < 0 ? kept.reverse() : kept
}

function refuseCrossing(corners: readonly Corner[]): void {
  const n = corners.length
  const side = (a: Corner, b: Corner, c: Corner) => (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
  for (let i = 0; i < n; i++) {
    const a = corners[i]!
    const b = corners[(i + 1) % n]!
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue
      const c = corners[j]!
      const d = corners[(j + 1) % n]!
      if (
        Math.max(a.x, b.x) < Math.min(c.x, d.x) ||
        Math.max(c.x, d.x) < Math.min(a.x, b.x) ||
        Math.max(a.y, b.y) < Math.min(c.y, d.y) ||
        Math.max(c.y, d.y) < Math.min(a.y, b.y)
      )
        continue
      const ac = side(a, b, c)
      const ad = side(a, b, d)
      const ca = side(c, d, a)
      const cb = side(c, d, b)
      // Touching counts: a shell cannot pass through a point.
      if (ac * ad > 0 || ca * cb > 0) continue
      const t = ca === cb ? 0 : ca / (ca - cb)
      throw new Refused(
        'shape-impossible',
        `clearance: the outline crosses or touches itself about x ${round(a.x + t * (b.x - a.x))}, y ${round(a.y + t * (b.y - a.y))} (side from point ${a.number} to ${b.number}, and from ${c.number} to ${d.number}); move those points apart.`,
      )
    }
  }
}

function refuseSkew(corners: readonly Corner[]): void {
  let worst = 0
  let at: Corner | null = null
  for (const c of corners) {
    const off = fromLoop(corners, c.x, -c.y)
    if (off > worst) {
      worst = off
      at = c
    }
  }
  if (at && worst > MIRROR_MM)
    throw new Refused(
      'shape-impossible',
      `clearance: the outline is not symmetric about the centreline: the mirror image of its point at x ${round(at.x)}, y ${round(at.y)} lies ${worst.toFixed(1)} mm off it; correct it, move it on to y = 0, give one half, or set symmetric to false.`,
    )
}

function fromLoop(corners: readonly Corner[], x: number, y: number): number {
  let least = Infinity
  for (let k = 0; k < corners.length; k++) {
    const a = corners[k]!
    const b = corners[(k + 1) % corners.length]!
    least = Math.min(least, fromSegment(a.x, a.y, b.x, b.y, x, y))
  }
  return Math.sqrt(least)
}

/** Squared distance. */
function fromSegment(ax: number, ay: number, bx: number, by: number, x: number, y: number): number {
  const dx = bx - ax
  const dy = by - ay
  const length2 = dx * dx + dy * dy
  const t = length2 > 0 ? Math.min(1, Math.max(0, ((x - ax) * dx + (y - ay) * dy) / length2)) : 0
  return square(x - ax - t * dx) + square(y - ay - t * dy)
}

/** Corners as arcs, chords within a hundredth of a millimetre. x y pairs. */
function rounded(corners: readonly Corner[], least_mm: number): Float64Array {
  const n = corners.length
  const bends = corners.map((c, k) => {
    const a = corners[(k + n - 1) % n]!
    const b = corners[(k + 1) % n]!
    const before = unit(c.x - a.x, c.y - a.y)
    const after = unit(b.x - c.x, b.y - c.y)
    const cos = before.x * after.x + before.y * after.y
    const turn = before.x * after.y - before.y * after.x
    // Tangent of half the turn; a way straight back has none.
    const half = Math.sqrt(Math.max(0, (1 - cos) / (1 + cos)))
    return { before, after, turn, half, toNext: after.length, cos }
  })
  const wanted = corners.map((c) => Math.max(c.radius, c.radius > 0 ? 0 : least_mm))
  // What each corner takes of its sides; two that want more than there is share it.
  const share = corners.map(() => 1)
  bends.forEach((bend, k) => {
    const j = (k + 1) % n
    const need = wanted[k]! * bend.half + wanted[j]! * bends[j]!.half
    if (need <= bend.toNext) return
    share[k] = Math.min(share[k]!, bend.toNext / need)
    share[j] = Math.min(share[j]!, bend.toNext / need)
  })
  corners.forEach((c, k) => {
    if (c.radius > 0 && share[k]! < 1 - 1e-9)
      throw new Refused(
        'shape-impossible',
        `clearance: the radius of ${round(c.radius)} mm at point ${c.number} of the outline (x ${round(c.x)}, y ${round(c.y)}) does not fit its sides; at most ${Math.floor(c.radius * share[k]!)} mm do.`,
      )
  })
  const out: number[] = []
  corners.forEach((c, k) => {
    const { before, after, turn, half, cos } = bends[k]!
    const r = wanted[k]! * share[k]!
    const t = r * half
    if (!(t > 1e-3) || !Number.isFinite(t)) {
      out.push(c.x, c.y)
      return
    }
    const sx = c.x - t * before.x
    const sy = c.y - t * before.y
    const left = turn > 0 ? 1 : -1
    const mx = sx - left * r * before.y
    const my = sy + left * r * before.x
    const angle = 2 * atanDeg(half)
    const pieces = Math.max(1, Math.ceil(angle / arcStep_deg(r)))
    for (let p = 0; p <= pieces; p++) {
      const a = (left * angle * p) / pieces
      const px = sx - mx
      const py = sy - my
      out.push(mx + px * cosDeg(a) - py * sinDeg(a), my + px * sinDeg(a) + py * cosDeg(a))
    }
    // The last point lies on the next side exactly.
    out[out.length - 2] = c.x + t * after.x
    out[out.length - 1] = c.y + t * after.y
    if (cos <= -1 + 1e-12)
      throw new Refused(
        'shape-impossible',
        `clearance: the outline turns straight back at point ${c.number} (x ${round(c.x)}, y ${round(c.y)}); move it.`,
      )
  })
  return Float64Array.from(out)
}

/** Angle whose chord stays within the error: sagitta r(1 − cos(a/2)) ≈ r a²/8. */
const arcStep_deg = (r: number): number => Math.min(20, (Math.sqrt((8 * CHORD_MM) / r) * 180) / Math.PI)

function unit(dx: number, dy: number): { x: number; y: number; length: number } {
  const length = Math.sqrt(dx * dx + dy * dy)
  return { x: dx / length, y: dy / length, length }
}

const round = (v: number): string => String(Math.round(v * 10) / 10)

/**
 * Whether a drawn outline holds the metal with its gaps, the wall leaning by the draft: the worst place along it, and the
 * worst of the metal outside it.
 *
 * @param field the plan field of the same metal; the outline may run where it is ≥ 0
 * @returns how far the outline must move out, mm (0: nowhere), and where, on the outline or at the metal
 */
export function outlineLack(
  curve: PlanCurve,
  grid: PlanGrid,
  field: Float64Array,
  inside: Uint8Array,
  metal: Carriers,
  lean: { readonly tanDraft: number; readonly reference_mm: number },
): { lack_mm: number; at: readonly [number, number] } {
  let lack_mm = 0
  let at: readonly [number, number] = [0, 0]
  const { x, y } = curve
  for (let k = 0; k < x.length; k++) {
    const short = -fieldAt(grid, field, x[k]!, y[k]!)
    if (short > lack_mm) {
      lack_mm = short
      at = [x[k]!, y[k]!]
    }
  }
  const { ends, reach } = metal
  for (let e = 0; e < 2 * metal.count; e++) {
    const px = ends[3 * e]!
    const py = curve.mirrored ? Math.abs(ends[3 * e + 1]!) : ends[3 * e + 1]!
    const i = Math.round((px - grid.x0) / grid.h)
    const j = Math.round((py - grid.y0) / grid.h)
    if (i >= 0 && j >= 0 && i < grid.nx && j < grid.ny && inside[j * grid.nx + i]) continue
    let near = Infinity
    for (let k = 0; k + 1 < x.length + (curve.mirrored ? 0 : 1); k++) {
      const n = (k + 1) % x.length
      near = Math.min(near, fromSegment(x[k]!, y[k]!, x[n]!, y[n]!, px, py))
    }
    const bonus = (ends[3 * e + 2]! - lean.reference_mm) * lean.tanDraft
    const short = Math.sqrt(near) + reach[e >> 1]! + bonus
    // The nearest node being outside, the point itself may still lie just inside: then the field has the say.
    if (Math.sqrt(near) > grid.h && short > lack_mm) {
      lack_mm = short
      at = [px, ends[3 * e + 1]!]
    }
  }
  return { lack_mm, at }
}

/** @throws Refused `shape-impossible` where more is lacking than a small push mends */
export function refuseSmall({ lack_mm, at }: { lack_mm: number; at: readonly [number, number] }): void {
  if (lack_mm <= MOST_MOVED_MM) return
  throw new Refused(
    'shape-impossible',
    `clearance: the drawn outline is ${lack_mm.toFixed(1)} mm too small about x ${Math.round(at[0])}, y ${Math.round(at[1])}, where the frame with its gap stands out of it; move the outline out there, lessen the gap, or take the outline from the silhouette.`,
  )
}
