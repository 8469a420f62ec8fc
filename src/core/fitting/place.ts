import type { Matrix4, Point } from '../geometry/axes'
import { cosDeg, sinDeg } from '../geometry/portable-math'
import { across, cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import { highestAt, type PlanHeights } from './plan-heights'
import type { BasePlane } from './types'

export interface Seat {
  /** Where the middle of the base stands, job axes. */
  readonly at: Point<'job'>
  /** Out of the shell: up on the topside, down on the underside. */
  readonly normal: Point<'job'>
  /** Largest gap between base and shell over the footprint, mm: what a pad has to fill. */
  readonly gap_mm: number
  /** False when the place, or part of the footprint, lies off the shell. */
  readonly onShell: boolean
}

export interface Stand {
  readonly at_mm: readonly [number, number]
  readonly turn_deg: number
  readonly upright: boolean
  readonly on: 'topside' | 'underside'
}

/** Offsets of the base's footprint from its middle, mm, in the plane of the base: x along the part's reference, y to its left. */
export type Footprint = readonly (readonly [number, number])[]

/**
 * Finds where a base rests on a shell: the plane through the shell's heights under the footprint (least squares), moved out
 * until nothing of the shell stands above it.
 */
export function findSeat(shell: PlanHeights, footprint: Footprint, stand: Stand): Seat {
  const [x, y] = stand.at_mm
  const out = stand.on === 'topside' ? 1 : -1
  const samples: { dx: number; dy: number; z: number }[] = []
  let missed = 0
  for (const [u, v] of footprint) {
    const [dx, dy] = turnedInPlan(u, v, stand)
    const z = highestAt(shell, x + dx, y + dy)
    if (Number.isNaN(z)) missed++
    else samples.push({ dx, dy, z })
  }
  const middle = highestAt(shell, x, y)
  if (samples.length === 0) {
    const z = Number.isNaN(middle) ? 0 : middle
    return { at: [x, y, z], normal: [0, 0, out], gap_mm: 0, onShell: false }
  }
  const [a, b, c0] = stand.upright || samples.length < 3 ? [0, 0, mean(samples)] : fitPlane(samples)
  // Against the shell from its own side: the base rests on the highest of the heights along the outward direction.
  let proud = -Infinity
  let deep = Infinity
  for (const { dx, dy, z } of samples) {
    const over = out * (z - (a * dx + b * dy + c0))
    if (over > proud) proud = over
    if (over < deep) deep = over
  }
  const normal = scaled(unit([0 - a, 0 - b, 1]), out)
  const plumb = Math.abs(normal[2])
  return {
    at: [x, y, c0 + out * proud],
    normal,
    gap_mm: (proud - deep) * plumb,
    onShell: missed === 0 && !Number.isNaN(middle),
  }
}

/** Where a place of the base lies in plan, from its middle. Under the shell the base is seen from behind: its left is to starboard. */
export function turnedInPlan(u: number, v: number, { turn_deg, on }: Stand): readonly [number, number] {
  const c = cosDeg(turn_deg)
  const s = sinDeg(turn_deg)
  const left = on === 'topside' ? v : -v
  return [c * u - s * left, s * u + c * left]
}

/** From part axes to job axes: the base's middle on the seat, its outward normal against the seat's, turned from above. */
export function poseOn(seat: Seat, base: BasePlane, turn_deg: number): Matrix4 {
  const up = scaled(base.normal, -1)
  const reference = partReference(base.normal)
  const left = cross(up, reference)
  const n = seat.normal
  const ahead = across([1, 0, 0], n)
  // Counter-clockwise from above, on either side of the top.
  const port = scaled(cross(n, ahead), n[2] >= 0 ? 1 : -1)
  const e = plus(scaled(ahead, cosDeg(turn_deg)), port, sinDeg(turn_deg))
  const f = cross(n, e)
  const r = (k: 0 | 1 | 2, m: 0 | 1 | 2): number => n[k] * up[m] + e[k] * reference[m] + f[k] * left[m]
  const row = (k: 0 | 1 | 2): [number, number, number] => [r(k, 0), r(k, 1), r(k, 2)]
  const move = (k: 0 | 1 | 2): number => seat.at[k] - dot(row(k), base.at)
  return [...row(0), move(0), ...row(1), move(1), ...row(2), move(2), 0, 0, 0, 1]
}

/** The direction of the part that points forward at turn 0: its x axis, or y for a base that looks along x. */
export const partReference = (baseNormal: Vec): Vec =>
  across(Math.abs(baseNormal[0]) > 0.9 ? [0, 1, 0] : [1, 0, 0], baseNormal)

const mean = (samples: readonly { z: number }[]): number => samples.reduce((sum, s) => sum + s.z, 0) / samples.length

/** z = a dx + b dy + c by least squares (normal equations; the footprint is centred, so they are well conditioned). */
function fitPlane(samples: readonly { dx: number; dy: number; z: number }[]): [number, number, number] {
  const n = samples.length
  let mx = 0
  let my = 0
  let mz = 0
  for (const s of samples) {
    mx += s.dx / n
    my += s.dy / n
    mz += s.z / n
  }
  let xx = 0
  let xy = 0
  let yy = 0
  let xz = 0
  let yz = 0
  for (const s of samples) {
    const dx = s.dx - mx
    const dy = s.dy - my
    const dz = s.z - mz
    xx += dx * dx
    xy += dx * dy
    yy += dy * dy
    xz += dx * dz
    yz += dy * dz
  }
  const det = xx * yy - xy * xy
  if (!(det > 1e-9 * (xx + yy) * (xx + yy))) return [0, 0, mz]
  const a = (xz * yy - yz * xy) / det
  const b = (yz * xx - xz * xy) / det
  return [a, b, mz - a * mx - b * my]
}
