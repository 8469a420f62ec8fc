import type { Point } from './axes'
import { closestPoint, makeNearest } from './closest-point'
import { type Steps, within } from './kernel'
import { leastDistance } from './least-distance'
import { facetCount, type Mesh } from './mesh'
import { square } from './portable-math'
import { buildTriangleTree } from './triangle-tree'
import { weightedQuantile } from './weighted-quantile'

export interface MeshComparison {
  /** Least distance of the two surfaces, exact, and the pair of points. */
  readonly min_mm: number
  readonly pointA: Point
  readonly pointB: Point
  /** Distance from A to the nearest point of B, over the area of A. One-sided on purpose: B to A is another figure (G32). */
  readonly aToB: { readonly rms_mm: number; readonly p95_mm: number; readonly max_mm: number; readonly mean_mm: number }
  /** Area of A that lies within `within_mm` of B. */
  readonly contact: { readonly within_mm: number; readonly area_mm2: number }
}

/** About how many places of A are asked when its facets are large; a fine mesh has one place per facet and its vertices. */
const PLACES = 100_000
/** One facet is never cut into more than this squared. */
const MOST_CUTS = 400

/**
 * Compares two meshes in the same axes.
 *
 * The statistics of A to B are weighted by area: every facet of A is cut into k² equal triangles, no longer than a spacing of
 * sqrt(2 · area of A / 100,000), and asked at the middle of each, exactly. Mean, rms and p95 are over these; the largest
 * is over these and all vertices of A. Facets without area weigh nothing.
 *
 * @param contact_mm nearer than this counts as contact; its area is right to a place's share at its border
 * @throws a defect if one of them has no facet
 */
export function* compareMeshes(a: Mesh, b: Mesh, contact_mm = 0.1): Steps<MeshComparison> {
  if (facetCount(a) === 0 || facetCount(b) === 0) throw new Error('geometry: a mesh without facets has no distance')
  const least = yield* within(0, 0.3, 'least distance', leastDistance(a, b))
  const tree = yield* within(0.3, 0.3, 'search tree', buildTriangleTree(b))
  const near = makeNearest()
  const { positions, indices, origin } = a
  const facets = facetCount(a)
  let whole = 0
  for (let f = 0; f < facets; f++) whole += area(a, f)
  const spacing = Math.sqrt((2 * whole) / PLACES)

  const cuts = new Uint16Array(facets)
  let places = 0
  for (let f = 0; f < facets; f++) {
    if (!(area(a, f) > 0)) continue
    cuts[f] = Math.max(1, Math.min(MOST_CUTS, Math.ceil(longestEdge(a, f) / spacing)))
    places += cuts[f]! * cuts[f]!
  }
  const distances = new Float64Array(places)
  const weights = new Float64Array(places)
  let seed = -1
  let largest = 0
  let sum = 0
  let squares = 0
  let contact = 0
  const ask = (x: number, y: number, z: number): number => {
    closestPoint(tree, x + origin[0], y + origin[1], z + origin[2], Infinity, near, seed)
    seed = near.facet
    if (near.distance > largest) largest = near.distance
    return near.distance
  }
  for (let f = 0, done = 0; f < facets; f++) {
    const k = cuts[f]!
    if (k === 0) continue
    const p = 3 * indices[3 * f]!
    const q = 3 * indices[3 * f + 1]!
    const r = 3 * indices[3 * f + 2]!
    const share = area(a, f) / (k * k)
    for (let i = 0; i < k; i++)
      for (let j = 0; i + j < k; j++)
        for (let third = 1; third <= (i + j + 1 < k ? 2 : 1); third++) {
          const v = (i + third / 3) / k
          const w = (j + third / 3) / k
          const u = 1 - v - w
          const d = ask(
            u * positions[p]! + v * positions[q]! + w * positions[r]!,
            u * positions[p + 1]! + v * positions[q + 1]! + w * positions[r + 1]!,
            u * positions[p + 2]! + v * positions[q + 2]! + w * positions[r + 2]!,
          )
          distances[done] = d
          weights[done] = share
          sum += share * d
          squares += share * d * d
          if (d <= contact_mm) contact += share
          if (++done % 4096 === 0) yield { fraction: 0.3 + (0.5 * f) / facets, label: 'distances' }
        }
  }
  const used = new Uint8Array(positions.length / 3)
  for (const v of indices) used[v] = 1
  for (let v = 0; v < used.length; v++) {
    if (used[v]) ask(positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!)
    if (v % 4096 === 0) yield { fraction: 0.8 + (0.2 * v) / used.length, label: 'distances' }
  }
  return {
    min_mm: least.distance_mm,
    pointA: least.pointA,
    pointB: least.pointB,
    aToB: {
      rms_mm: whole > 0 ? Math.sqrt(squares / whole) : 0,
      p95_mm: weightedQuantile(distances, weights, 0.95),
      max_mm: largest,
      mean_mm: whole > 0 ? sum / whole : 0,
    },
    contact: { within_mm: contact_mm, area_mm2: contact },
  }
}

function area({ positions: p, indices }: Mesh, f: number): number {
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  const ux = p[b]! - p[a]!
  const uy = p[b + 1]! - p[a + 1]!
  const uz = p[b + 2]! - p[a + 2]!
  const vx = p[c]! - p[a]!
  const vy = p[c + 1]! - p[a + 1]!
  const vz = p[c + 2]! - p[a + 2]!
  const x = uy * vz - uz * vy
  const y = uz * vx - ux * vz
  const z = ux * vy - uy * vx
  return Math.sqrt(x * x + y * y + z * z) / 2
}

function longestEdge({ positions: p, indices }: Mesh, f: number): number {
  const d2 = (i: number, j: number) =>
    square(p[i]! - p[j]!) + square(p[i + 1]! - p[j + 1]!) + square(p[i + 2]! - p[j + 2]!)
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  return Math.sqrt(Math.max(d2(a, b), d2(b, c), d2(c, a)))
}
