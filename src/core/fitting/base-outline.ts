/**
 * The base of a placed fitting as it touches the shell: its outline and the holes in it, true to size in the plane of the
 * seat. Found on the part itself: the flat facets of the base, the loops around them, circles among the inner loops.
 */

import { transformDirection, transformPoint } from '../geometry/axes'
import { drain } from '../geometry/kernel'
import { square } from '../geometry/portable-math'
import { Remembered } from '../geometry/remembered'
import { rimLoops } from '../geometry/rim-loops'
import { across, cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import type { PlacedFitting } from './types'

export type Place2 = readonly [number, number]

export interface BaseOutline {
  /** Borders of the base, u v pairs about the seat, mm: u forward along the shell, v to port. Counter-clockwise from above. */
  readonly borders: readonly (readonly Place2[])[]
  /** Round holes through the base: where bolts go. */
  readonly bolts: readonly { readonly at: Place2; readonly diameter_mm: number }[]
  /** Other openings. */
  readonly openings: readonly (readonly Place2[])[]
  /** From u v to job axes, for drawing the same in plan. */
  readonly toJob: (p: Place2) => Vec
  /** And back: the foot of a place on the plane of the seat. */
  readonly onBase: (p: Vec) => Place2
}

/** Vertices this near to the base plane lie in it, mm. */
const IN_PLANE_MM = 0.5
/** Facets this well aligned with the base (cosine, about one degree) are part of it. */
const ALIGNED = 0.99985
/** A loop is round if its corners lie this near to its mean circle, as a share of the radius and in mm. */
const ROUND_SHARE = 0.05
const ROUND_MM = 0.2
/** Bolts between these diameters; anything else round is an opening. */
const BOLT_MM = [2, 40] as const

export function baseOutline(fitting: PlacedFitting): BaseOutline {
  const up = fitting.seat.normal as Vec
  // Forward along the shell; a seat that looks forward takes port as its reference instead.
  const forward: Vec = Math.abs(up[0]) < 0.9 ? [1, 0, 0] : [0, 1, 0]
  const u = across(forward, up)
  const v = cross(up, u)
  const seat = fitting.seat.at as Vec
  const flat = (p: Vec): Place2 => {
    const d = plus(p, seat, -1)
    return [dot(d, u), dot(d, v)]
  }
  const loops = baseLoops(fitting).map((loop) => loop.map(flat))
  const areas = loops.map(area_mm2)
  // Seen from above the base faces away, so its borders run clockwise and its holes counter-clockwise.
  const outer = Math.sign(areas.reduce((sum, a) => sum + a, 0)) || -1
  const borders: (readonly Place2[])[] = []
  const openings: (readonly Place2[])[] = []
  const bolts: { at: Place2; diameter_mm: number }[] = []
  for (const [i, loop] of loops.entries()) {
    if (Math.sign(areas[i]!) === outer) {
      borders.push(areas[i]! > 0 ? loop : [...loop].reverse())
      continue
    }
    const circle = roundLoop(loop, Math.abs(areas[i]!))
    if (circle && circle.diameter_mm >= BOLT_MM[0] && circle.diameter_mm <= BOLT_MM[1]) bolts.push(circle)
    else openings.push(loop)
  }
  bolts.sort((a, b) => a.at[0] - b.at[0] || a.at[1] - b.at[1])
  return {
    borders,
    bolts,
    openings,
    onBase: flat,
    toJob: ([a, b]) => plus(plus(seat, scaled(u, a)), scaled(v, b)),
  }
}

/** Loops around the base's facets, job axes. */
function baseLoops(fitting: PlacedFitting): readonly (readonly Vec[])[] {
  const { mesh, pose, base } = fitting
  const key = [...pose, ...base.normal, ...base.at].join(' ')
  return knownLoops.get(mesh, key) ?? knownLoops.set(mesh, key, findLoops(fitting), 1)
}

const knownLoops = new Remembered<readonly (readonly Vec[])[]>()

function findLoops({ mesh, pose, base }: PlacedFitting): Vec[][] {
  const normal = unit(transformDirection(pose, base.normal))
  const level = dot(transformPoint(pose, base.at), normal)
  const { positions: p, indices, origin } = mesh
  const vertex = (k: number): Vec => [p[3 * k]! + origin[0], p[3 * k + 1]! + origin[1], p[3 * k + 2]! + origin[2]]
  const kept: number[] = []
  for (let f = 0; f < indices.length; f += 3) {
    const corners = [indices[f]!, indices[f + 1]!, indices[f + 2]!]
    const [a, b, c] = corners.map(vertex) as [Vec, Vec, Vec]
    if ([a, b, c].some((q) => Math.abs(dot(q, normal) - level) > IN_PLANE_MM)) continue
    const n = cross(plus(b, a, -1), plus(c, a, -1))
    const length = Math.sqrt(dot(n, n))
    if (length > 0 && dot(n, normal) > ALIGNED * length) kept.push(...corners)
  }
  return drain(rimLoops(Uint32Array.from(kept), p.length / 3))
    .filter((loop) => loop.length > 2)
    .map((loop) => loop.map(vertex))
}

function roundLoop(loop: readonly Place2[], area: number): { at: Place2; diameter_mm: number } | null {
  if (loop.length < 6) return null
  const at = centroid(loop)
  // Equal area: corners of a polygon stand outside its sides, and the drill makes the circle, not the polygon.
  const radii = loop.map(([x, y]) => Math.sqrt(square(x - at[0]) + square(y - at[1])))
  const mean = radii.reduce((sum, r) => sum + r, 0) / radii.length
  const spread = Math.max(...radii.map((r) => Math.abs(r - mean)))
  if (spread > ROUND_SHARE * mean + ROUND_MM || area < 0.75 * Math.PI * mean * mean) return null
  return { at, diameter_mm: 2 * mean }
}

export function area_mm2(loop: readonly Place2[]): number {
  let twice = 0
  for (let k = 0, j = loop.length - 1; k < loop.length; j = k++)
    twice += loop[j]![0] * loop[k]![1] - loop[k]![0] * loop[j]![1]
  return twice / 2
}

function centroid(loop: readonly Place2[]): Place2 {
  let [x, y, twice] = [0, 0, 0]
  for (let k = 0, j = loop.length - 1; k < loop.length; j = k++) {
    const w = loop[j]![0] * loop[k]![1] - loop[k]![0] * loop[j]![1]
    x += w * (loop[j]![0] + loop[k]![0])
    y += w * (loop[j]![1] + loop[k]![1])
    twice += w
  }
  return [x / (3 * twice), y / (3 * twice)]
}
