/** Which facets of a moulded face lie in a zone of the ply schedule, and how large and how long-edged that zone is. */

import { ZONES } from '../clearance/types'
import { convexHull } from '../fitting'
import { adjacency } from '../geometry/adjacency'
import type { Point } from '../geometry/axes'
import type { Steps } from '../geometry/kernel'
import { facetCount, facetMiddle, type Mesh, vertexCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import type { BuildFitting, BuildShell, PlyZone } from './types'

export interface ZoneShape {
  readonly zone: PlyZone
  /** 1 on facets of the zone. */
  readonly inside: Uint8Array
  readonly area_m2: number
  /** Edge towards the rest of the shell, and along the trim line, m. */
  readonly edge_m: number
  readonly trim_m: number
  readonly centre: Point<'job'>
}

/** How far off the base plane a vertex may be and still belong to the base, mm. */
const TOUCHING_MM = 0.5

/** Facets are taken by their middles: a zone's edge runs along facet edges. */
export function* zoneShapes(
  shell: BuildShell,
  zones: readonly PlyZone[],
  fittings: readonly BuildFitting[],
): Steps<readonly ZoneShape[]> {
  const mine = zones.filter((z) => z.shell === shell.name)
  if (mine.length === 0) return []
  const { face } = shell
  const { across } = yield* adjacency(face.indices, vertexCount(face))
  const bases = fittings.filter((f) => f.on === shell.name).map(baseInPlan)
  return mine.map((zone) => shapeOf(zone, shell, across, insideOf(zone, shell, bases)))
}

function insideOf(
  zone: PlyZone,
  { face, zone: of }: BuildShell,
  bases: readonly (readonly [number, number][])[],
): Uint8Array {
  const inside = new Uint8Array(facetCount(face))
  const code = (ZONES as readonly string[]).indexOf(zone.kind)
  for (let f = 0; f < inside.length; f++) {
    const [x, y, z] = facetMiddle(face, f)
    const is =
      zone.kind === 'box'
        ? [x, y, z].every((v, k) => v >= zone.min[k]! && v <= zone.max[k]!)
        : zone.kind === 'fittings'
          ? bases.some((hull) => outsideBy(hull, x, y) <= zone.margin_mm)
          : of[f] === code
    inside[f] = is ? 1 : 0
  }
  return inside
}

function shapeOf(zone: PlyZone, { face }: BuildShell, across: Int32Array, inside: Uint8Array): ZoneShape {
  let area = 0
  let edge = 0
  let trim = 0
  const moment = [0, 0, 0]
  const { positions: p, indices } = face
  for (let f = 0; f < inside.length; f++) {
    if (inside[f] === 0) continue
    const own = facetArea(face, f)
    area += own
    const m = facetMiddle(face, f)
    for (let k = 0; k < 3; k++) {
      moment[k]! += own * m[k]!
      const other = across[3 * f + k]!
      if (other >= 0 && inside[other] === 1) continue
      const a = 3 * indices[3 * f + k]!
      const b = 3 * indices[3 * f + ((k + 1) % 3)]!
      const l = Math.sqrt(square(p[a]! - p[b]!) + square(p[a + 1]! - p[b + 1]!) + square(p[a + 2]! - p[b + 2]!))
      if (other < 0) trim += l
      else edge += l
    }
  }
  const centre: Point<'job'> = area > 0 ? [moment[0]! / area, moment[1]! / area, moment[2]! / area] : [0, 0, 0]
  return { zone, inside, area_m2: area / 1e6, edge_m: edge / 1000, trim_m: trim / 1000, centre }
}

/**
 * Area to cut of each extra ply, m². Plies end one after the other: the first laid reaches furthest, each next one `step_mm`
 * less, so that the thickness drops off in steps. The strip outside the zone is its edge × its width, corners neglected.
 */
export const dropOffAreas_m2 = (area_m2: number, edge_m: number, layers: number, step_mm: number): number[] =>
  Array.from({ length: layers }, (_, i) => area_m2 + (edge_m * step_mm * (layers - 1 - i)) / 1000)

/** Hull of a fitting's base, seen from above. */
function baseInPlan({ mesh, at, normal }: BuildFitting): [number, number][] {
  const { positions: p } = mesh
  const level = normal[0] * at[0] + normal[1] * at[1] + normal[2] * at[2]
  let lowest = Infinity
  const heights: number[] = []
  for (let i = 0; i < p.length; i += 3) {
    const h = normal[0] * p[i]! + normal[1] * p[i + 1]! + normal[2] * p[i + 2]! - level
    heights.push(h)
    if (h < lowest) lowest = h
  }
  const touching: [number, number][] = []
  for (const [v, h] of heights.entries()) if (h - lowest <= TOUCHING_MM) touching.push([p[3 * v]!, p[3 * v + 1]!])
  return convexHull(touching)
}

/** Distance of a place from a convex outline in plan, 0 inside, mm. */
function outsideBy(hull: readonly (readonly [number, number])[], x: number, y: number): number {
  let within = hull.length > 2
  let least = Infinity
  for (let i = 0; i < hull.length; i++) {
    const a = hull[i]!
    const b = hull[(i + 1) % hull.length]!
    const dx = b[0] - a[0]
    const dy = b[1] - a[1]
    if (dx * (y - a[1]) - dy * (x - a[0]) < 0) within = false
    const l2 = dx * dx + dy * dy
    const t = l2 > 0 ? Math.min(1, Math.max(0, ((x - a[0]) * dx + (y - a[1]) * dy) / l2)) : 0
    least = Math.min(least, square(x - a[0] - t * dx) + square(y - a[1] - t * dy))
  }
  return within ? 0 : Math.sqrt(least)
}

export function facetArea({ positions: p, indices }: Mesh, f: number): number {
  const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
  const u = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!] as const
  const v = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!] as const
  const x = u[1] * v[2] - u[2] * v[1]
  const y = u[2] * v[0] - u[0] * v[2]
  const z = u[0] * v[1] - u[1] * v[0]
  return Math.sqrt(x * x + y * y + z * z) / 2
}
