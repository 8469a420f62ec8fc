/**
 * What a tube that is no round one is across: an oval or a square (rectangular) section with rounded corners. The walk took it
 * for round; its axis is near enough that the outline can be gathered about it, and both shapes are fitted to that.
 */
import { pointsWithin } from '../geometry/point-grid'
import { atan2Deg, cosDeg, sinDeg, square } from '../geometry/portable-math'
import { solveNormal } from '../geometry/solve-normal'
import { cross, dot, plus, unit, type Vec } from '../geometry/vectors'
import type { Cloud } from './cloud'
import type { EndedTube } from './tube-ends'
import type { TubeSection } from './types'

/** The outline is gathered in so many directions; the middle of what lies in each is little moved by noise or stray metal. */
const DIRECTIONS = 72
/** Metal farther from the axis belongs to something else, in radii of the round tube. */
const REACH = 1.7
/** Along the axis, in the same radii. */
const HALF_WINDOW = 1
/** Directions that must hold metal, or no shape is told. */
const LEAST_DIRECTIONS = 48
/** Least cosine of a normal to the direction from the axis: at the corner of a square 0.71. */
const OUTWARDS = 0.5
/** A shape is told where it explains the outline so many times better than a circle does, */
const BETTER = 3
/** and its one side is so much longer than the other, or its corners so much tighter than a circle's, that it is no circle. */
const LEAST_DIFFERENCE_MM = 0.6
const ROUNDS = 60

const list = new Uint32Array(4096)

/** @returns null where the outline is neither, or too little of it was seen */
export function sectionOf(cloud: Cloud, tube: EndedTube): TubeSection | null {
  const outline = outlineOf(cloud, tube)
  if (!outline) return null
  const r = tube.piece.radius_mm
  const round_mm = rmsOf(outline, (x, y) => Math.sqrt(x * x + y * y) - r)
  const shapes = STARTS_DEG.flatMap((turn_deg) => [
    fitted(outline, 'oval', [0, 0, r, r * 0.9, turn_deg]),
    fitted(outline, 'square', [0, 0, r, r, turn_deg, 0.3 * r]),
  ]).filter((shape) => shape !== null)
  if (shapes.length === 0) return null
  const best = shapes.reduce((a, b) => (b.rms_mm < a.rms_mm ? b : a))
  const [, , a, b, , corner] = best.values
  const differs =
    best.kind === 'oval'
      ? 2 * Math.abs(a! - b!) > LEAST_DIFFERENCE_MM
      : Math.min(a!, b!) - corner! > LEAST_DIFFERENCE_MM
  if (!differs || best.rms_mm * BETTER > round_mm) return null
  return {
    kind: best.kind,
    wide_mm: 2 * Math.max(a!, b!),
    narrow_mm: 2 * Math.min(a!, b!),
    corner_mm: best.kind === 'square' ? corner! : null,
    rms_mm: best.rms_mm,
  }
}

/** An ellipse has one best turn, a square one in each quarter; a start near it is enough. */
const STARTS_DEG = [0, 30, 60, 90, 120, 150] as const

interface Outline {
  readonly xy: Float64Array
  readonly count: number
}

/** Middle places of the outline about the axis, in a frame that is carried along it without turning. */
function outlineOf(cloud: Cloud, { piece, clean, axis }: EndedTube): Outline | null {
  const r = piece.radius_mm
  const reach = Math.sqrt(square(REACH) + square(HALF_WINDOW)) * r
  const far: number[][] = Array.from({ length: DIRECTIONS }, () => [])
  let first: Vec | null = null
  for (let k = 0; k < axis.length; k++) {
    const at = axis[k]!
    const along = unit(plus(axis[Math.min(k + 1, axis.length - 1)]!, axis[Math.max(k - 1, 0)]!, -1))
    const lean: Vec = first ?? (Math.abs(along[2]) < 0.8 ? [0, 0, 1] : [1, 0, 0])
    const u = unit(plus(lean, along, -dot(lean, along)))
    const v = cross(along, u)
    first = u
    if (!clean[k]) continue
    const found = Math.min(list.length, pointsWithin(cloud.grid, at[0], at[1], at[2], reach, list))
    for (let i = 0; i < found; i++) {
      const p = 3 * list[i]!
      const d: Vec = [cloud.points[p]! - at[0], cloud.points[p + 1]! - at[1], cloud.points[p + 2]! - at[2]]
      if (Math.abs(dot(d, along)) > HALF_WINDOW * r) continue
      const [x, y] = [dot(d, u), dot(d, v)]
      const away = Math.sqrt(x * x + y * y)
      if (away > REACH * r || !(away > 0.3 * r)) continue
      const normal: Vec = [cloud.normals[p]!, cloud.normals[p + 1]!, cloud.normals[p + 2]!]
      if ((dot(normal, u) * x + dot(normal, v) * y) / away < OUTWARDS) continue
      const direction = Math.floor((DIRECTIONS * (atan2Deg(y, x) + 360)) / 360) % DIRECTIONS
      far[direction]!.push(away)
    }
  }
  const xy: number[] = []
  for (const [i, distances] of far.entries()) {
    if (distances.length < 3) continue
    distances.sort((a, b) => a - b)
    const away = distances[distances.length >> 1]!
    const turn_deg = (360 * (i + 0.5)) / DIRECTIONS
    xy.push(away * cosDeg(turn_deg), away * sinDeg(turn_deg))
  }
  const count = xy.length / 2
  return count < LEAST_DIRECTIONS ? null : { xy: Float64Array.from(xy), count }
}

type Kind = TubeSection['kind']

interface Shape {
  readonly kind: Kind
  /** Middle x, y, both half sides, turn in degrees, and for a square the radius of its corners. mm. */
  readonly values: readonly number[]
  readonly rms_mm: number
}

/** Steps of the derivatives taken by differences: mm, and degrees for the turn. */
const DIFFERENCE = 1e-4

/** Least squares of the distances by Gauss and Newton, damped until a step makes it better (Marquardt 1963). */
function fitted(outline: Outline, kind: Kind, start: readonly number[]): Shape | null {
  const n = start.length
  let values = [...start]
  let off = offsOf(outline, kind, values)
  let cost = sumOfSquares(off)
  let damping = 1e-2
  for (let round = 0; round < ROUNDS; round++) {
    const columns = values.map((_, k) => {
      const moved = values.map((v, j) => (j === k ? v + DIFFERENCE : v))
      return offsOf(outline, kind, moved).map((d, i) => (d - off[i]!) / DIFFERENCE)
    })
    const a = new Float64Array(n * n)
    const b = new Float64Array(n)
    for (let k = 0; k < n; k++) {
      for (let l = 0; l <= k; l++) a[k * n + l] = columns[k]!.reduce((sum, x, i) => sum + x * columns[l]![i]!, 0)
      a[k * n + k]! += damping * (a[k * n + k]! + 1e-6)
      b[k] = -columns[k]!.reduce((sum, x, i) => sum + x * off[i]!, 0)
    }
    if (!solveNormal(a, b, n)) return null
    const next = possible(values.map((v, k) => v + b[k]!))
    const nextOff = offsOf(outline, kind, next)
    const nextCost = sumOfSquares(nextOff)
    if (nextCost < cost) {
      const settled = cost - nextCost < 1e-10 * cost
      ;[values, off, cost] = [next, nextOff, nextCost]
      damping /= 4
      if (settled) break
    } else {
      damping *= 8
      if (damping > 1e8) break
    }
  }
  return { kind, values, rms_mm: Math.sqrt(cost / outline.count) }
}

/** Half sides above nothing, corners no larger than half of the shorter side. */
function possible(values: readonly number[]): number[] {
  const [x, y, a, b, turn, corner] = values
  const [wide, high] = [Math.max(a!, 1), Math.max(b!, 1)]
  const shape = [x!, y!, wide, high, turn!]
  return corner === undefined ? shape : [...shape, Math.min(Math.max(corner, 0), Math.min(wide, high))]
}

/** Distances of the outline from a shape, positive outside. */
function offsOf({ xy, count }: Outline, kind: Kind, values: readonly number[]): Float64Array {
  const [mx, my, a, b, turn_deg, corner] = values
  const [c, s] = [cosDeg(turn_deg!), sinDeg(turn_deg!)]
  const off = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    const [dx, dy] = [xy[2 * i]! - mx!, xy[2 * i + 1]! - my!]
    const [x, y] = [dx * c + dy * s, dy * c - dx * s]
    off[i] = kind === 'oval' ? fromEllipse(x, y, a!, b!) : fromSquare(x, y, a!, b!, corner!)
  }
  return off
}

/** To first order: the function over its slope (Sampson 1982); exact on the ellipse, where the outline lies. */
function fromEllipse(x: number, y: number, a: number, b: number): number {
  const q = Math.sqrt(square(x / a) + square(y / b))
  const slope = Math.sqrt(square(x / (a * a)) + square(y / (b * b)))
  return slope > 0 ? (q * (q - 1)) / slope : -Math.min(a, b)
}

/** Exact distance from a rectangle whose corners are rounded. */
function fromSquare(x: number, y: number, a: number, b: number, corner: number): number {
  const u = Math.abs(x) - a + corner
  const v = Math.abs(y) - b + corner
  const outside = Math.sqrt(square(Math.max(u, 0)) + square(Math.max(v, 0)))
  return outside + Math.min(Math.max(u, v), 0) - corner
}

function rmsOf({ xy, count }: Outline, off: (x: number, y: number) => number): number {
  let sum = 0
  for (let i = 0; i < count; i++) sum += square(off(xy[2 * i]!, xy[2 * i + 1]!))
  return Math.sqrt(sum / count)
}

const sumOfSquares = (values: Float64Array): number => values.reduce((sum, v) => sum + v * v, 0)
