import { adjacency, RIM } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import { nextHalf } from '../geometry/islands'
import type { Steps } from '../geometry/kernel'
import { type Mesh, vertexCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'

/** A closed line of points with its arc lengths. */
export interface ClosedLine {
  /** Job axes, mm; the first point is not repeated. */
  readonly points: readonly Point<'job'>[]
  /** Length from the first point to each point along the line, mm. */
  readonly along_mm: readonly number[]
  readonly length_mm: number
}

/**
 * The trim line of a moulded face: its longest rim, in order, from its foremost point at the centreline towards port.
 *
 * @returns null where the face has no rim
 */
export function* trimLine(face: Mesh<'job'>): Steps<ClosedLine | null> {
  const { indices, positions: p, origin } = face
  const { across } = yield* adjacency(indices, vertexCount(face))
  const next = new Map<number, number>()
  for (let h = 0; h < across.length; h++) if (across[h] === RIM) next.set(indices[h]!, indices[nextHalf(h)]!)
  const place = (v: number): Point<'job'> => [
    p[3 * v]! + origin[0],
    p[3 * v + 1]! + origin[1],
    p[3 * v + 2]! + origin[2],
  ]
  let best: ClosedLine | null = null
  const seen = new Set<number>()
  for (const first of next.keys()) {
    if (seen.has(first)) continue
    const loop: Point<'job'>[] = []
    for (let v: number | undefined = first; v !== undefined && !seen.has(v); v = next.get(v)) {
      seen.add(v)
      loop.push(place(v))
    }
    const line = closedLine(loop)
    if (!best || line.length_mm > best.length_mm) best = line
  }
  return best && closedLine(fromForward(best.points))
}

/** Arc lengths of a closed line. */
export function closedLine(points: readonly Point<'job'>[]): ClosedLine {
  const along_mm: number[] = []
  let length_mm = 0
  for (let i = 0; i < points.length; i++) {
    along_mm.push(length_mm)
    length_mm += distance(points[i]!, points[(i + 1) % points.length]!)
  }
  return { points, along_mm, length_mm }
}

/** Turned so that it begins forward on the centreline and runs to port (+y) first. */
function fromForward(points: readonly Point<'job'>[]): readonly Point<'job'>[] {
  let area = 0
  for (let i = 0; i < points.length; i++) {
    const a = points[i]!
    const b = points[(i + 1) % points.length]!
    area += a[0] * b[1] - a[1] * b[0]
  }
  // Seen from above with x ahead and y to port, counter-clockwise runs from the bow to port.
  const turned = area < 0 ? [...points].reverse() : points
  const middle = turned.reduce((s, q) => s + q[0], 0) / turned.length
  let start = 0
  let least = Infinity
  for (const [i, q] of turned.entries())
    if (q[0] > middle && Math.abs(q[1]) < least) {
      least = Math.abs(q[1])
      start = i
    }
  return [...turned.slice(start), ...turned.slice(0, start)]
}

export const distance = (a: Point, b: Point): number =>
  Math.sqrt(square(a[0] - b[0]) + square(a[1] - b[1]) + square(a[2] - b[2]))

/** The place on a closed line nearest to a point: how far along it, and how far off. */
export function nearestOnLine(line: ClosedLine, to: Point): { along_mm: number; off_mm: number } {
  let best = { along_mm: 0, off_mm: Infinity }
  const { points, along_mm } = line
  for (let i = 0; i < points.length; i++) {
    const a = points[i]!
    const b = points[(i + 1) % points.length]!
    const d = [b[0] - a[0], b[1] - a[1], b[2] - a[2]] as const
    const l2 = d[0] * d[0] + d[1] * d[1] + d[2] * d[2]
    const t = l2 > 0 ? ((to[0] - a[0]) * d[0] + (to[1] - a[1]) * d[1] + (to[2] - a[2]) * d[2]) / l2 : 0
    const s = Math.min(1, Math.max(0, t))
    const off_mm = distance([a[0] + s * d[0], a[1] + s * d[1], a[2] + s * d[2]], to)
    if (off_mm < best.off_mm) best = { along_mm: along_mm[i]! + s * Math.sqrt(l2), off_mm }
  }
  return best
}
