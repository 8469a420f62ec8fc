/**
 * Where a measurement takes hold near the pointer. On drawn parts: a corner of the drawn edges, else the nearest place on
 * such an edge, else the face itself. On the scan: the scanned point, since its creases are noise; a point is data, the
 * facet between three points is only interpolation.
 */
import type { Mesh } from '../../core/geometry/mesh'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment } from '../camera/eye-rig'
import { featuresOf } from './feature-edges'

export type Hold = 'corner' | 'edge' | 'point' | 'face'

export interface Held {
  readonly hold: Hold
  readonly at: Vec3
}

/** A corner or a scanned point wins within this of the pointer, an edge within the second, CSS px. */
export const CORNER_PX = 9
const EDGE_PX = 7
/** Closer than this on the sheet is one place. */
const SAME_PX = 0.5

export interface SnapWish {
  readonly mesh: Mesh
  /** Scanned metal: points instead of edges. */
  readonly scanned: boolean
  /** Facets in the neighbourhood of the hit. */
  readonly facets: readonly number[]
  /** Where the face itself was hit, in the axes of the mesh. */
  readonly hit: Vec3
  /** Added to a place of the mesh to have it where it is drawn. */
  readonly shift: Vec3
  readonly moment: EyeMoment
  readonly x_px: number
  readonly y_px: number
}

/** @returns a place in the axes of the mesh, without `shift` */
export function snap({ mesh, scanned, facets, hit, shift, moment, x_px, y_px }: SnapWish): Held {
  const { indices, positions, origin } = mesh
  const place = (v: number): Vec3 => [
    positions[v * 3]! + origin[0],
    positions[v * 3 + 1]! + origin[1],
    positions[v * 3 + 2]! + origin[2],
  ]
  const onSheet = (p: Vec3) =>
    project(moment.eye, moment.basis, moment.free, [p[0] + shift[0], p[1] + shift[1], p[2] + shift[2]])
  let best: Held = { hold: 'face', at: hit }
  let bestDepth = -Infinity
  /** Nearer to the pointer wins; of two in one place (a corner over another) the one nearer to the eye. */
  const better = (d: number, depth: number, nearest: number): boolean =>
    d < nearest - SAME_PX || (d < nearest + SAME_PX && bestDepth > -Infinity && depth > bestDepth)
  if (scanned) {
    let nearest = CORNER_PX
    for (const f of facets)
      for (let k = 0; k < 3; k++) {
        const at = place(indices[f * 3 + k]!)
        const [x, y, depth] = onSheet(at)
        const d = Math.hypot(x - x_px, y - y_px)
        if (better(d, depth, nearest)) {
          nearest = d
          bestDepth = depth
          best = { hold: 'point', at }
        }
      }
    return best
  }
  const { edge } = featuresOf(mesh)
  const ends = new Map<number, Vec3[]>()
  let nearest = EDGE_PX
  for (const f of facets)
    for (let k = 0; k < 3; k++) {
      if (!edge[f * 3 + k]) continue
      const a = indices[f * 3 + k]!
      const b = indices[f * 3 + ((k + 1) % 3)]!
      const from = place(a)
      const to = place(b)
      noteEnd(ends, a, minus(to, from))
      noteEnd(ends, b, minus(from, to))
      const [ax, ay, az] = onSheet(from)
      const [bx, by, bz] = onSheet(to)
      const length2 = (bx - ax) ** 2 + (by - ay) ** 2
      const t = length2 > 0 ? clamp(((x_px - ax) * (bx - ax) + (y_px - ay) * (by - ay)) / length2) : 0
      const d = Math.hypot(ax + (bx - ax) * t - x_px, ay + (by - ay) * t - y_px)
      const depth = az + (bz - az) * t
      if (better(d, depth, nearest)) {
        nearest = d
        bestDepth = depth
        best = { hold: 'edge', at: [0, 1, 2].map((i) => from[i]! + (to[i]! - from[i]!) * t) as unknown as Vec3 }
      }
    }
  nearest = CORNER_PX
  bestDepth = -Infinity
  for (const [v, ways] of ends) {
    if (!isCorner(ways)) continue
    const at = place(v)
    const [x, y, depth] = onSheet(at)
    const d = Math.hypot(x - x_px, y - y_px)
    if (better(d, depth, nearest)) {
      nearest = d
      bestDepth = depth
      best = { hold: 'corner', at }
    }
  }
  return best
}

/** The same edge is met from both of its facets: one way once. */
function noteEnd(ends: Map<number, Vec3[]>, v: number, way: Vec3): void {
  const list = ends.get(v)
  if (!list) ends.set(v, [way])
  else if (!list.some((w) => w[0] === way[0] && w[1] === way[1] && w[2] === way[2])) list.push(way)
}

/** More than two drawn edges, or two that turn: a place on a smooth curve is none. */
function isCorner(ways: readonly Vec3[]): boolean {
  if (ways.length > 2) return true
  if (ways.length < 2) return false
  const [a, b] = ways as [Vec3, Vec3]
  const dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
  return dot > -0.9 * Math.hypot(...a) * Math.hypot(...b)
}

const minus = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
const clamp = (t: number): number => Math.min(Math.max(t, 0), 1)
