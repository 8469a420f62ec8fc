import { closestPoint, makeNearest } from '../geometry/closest-point'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../geometry/mesh'
import { buildTriangleTree } from '../geometry/triangle-tree'

/** Gap from each facet of one face to another face. */
export interface FaceGap {
  /** mm, at the middle of each facet; Infinity beyond the limit. */
  readonly gap_mm: Float64Array
  readonly area_mm2: Float64Array
}

export function* faceGap(from: Mesh, to: Mesh, limit_mm: number): Steps<FaceGap> {
  const tree = yield* within(0, 0.3, 'search tree', buildTriangleTree(to))
  const n = facetCount(from)
  const gap_mm = new Float64Array(n).fill(Infinity)
  const area_mm2 = new Float64Array(n)
  const near = makeNearest()
  const { positions: p, indices, origin } = from
  let seed = -1
  for (let f = 0; f < n; f++) {
    if (f % BLOCK === 0) yield 0.3 + (0.7 * f) / n
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    const m = [0, 1, 2].map((k) => (p[a + k]! + p[b + k]! + p[c + k]!) / 3 + origin[k]!) as [number, number, number]
    closestPoint(tree, m[0], m[1], m[2], limit_mm, near, seed)
    if (near.facet >= 0) {
      gap_mm[f] = near.distance
      seed = near.facet
    }
    const u = [0, 1, 2].map((k) => p[b + k]! - p[a + k]!) as [number, number, number]
    const v = [0, 1, 2].map((k) => p[c + k]! - p[a + k]!) as [number, number, number]
    const x = u[1] * v[2] - u[2] * v[1]
    const y = u[2] * v[0] - u[0] * v[2]
    const z = u[0] * v[1] - u[1] * v[0]
    area_mm2[f] = Math.sqrt(x * x + y * y + z * z) / 2
  }
  return { gap_mm, area_mm2 }
}

/** Limits of the zones by gap, mm: below the first the faces touch, then paste, then putty, beyond the last it stays void. (Common practice, no source.) */
export const GAP_ZONES_MM = [0.5, 5, 12] as const

export interface FilledGap {
  /** mm³ of what is filled: contact and paste, putty. */
  readonly paste_mm3: number
  readonly putty_mm3: number
  /** mm², mean of the two faces: contact, paste, putty, void. */
  readonly zones_mm2: [number, number, number, number]
  readonly min_mm: number
  readonly mean_mm: number
  readonly max_mm: number
}

/**
 * Volume between two faces: the mean of gap × area over the one and over the other. For parallel plates and wedges that is
 * exact, for concentric caps short by (g/R)²/6 of itself.
 */
export function fillBetween(one: FaceGap, other: FaceGap): FilledGap {
  const zones: [number, number, number, number] = [0, 0, 0, 0]
  let paste = 0
  let putty = 0
  let min = Infinity
  let max = 0
  let weighted = 0
  let area = 0
  for (const { gap_mm, area_mm2 } of [one, other])
    for (let f = 0; f < gap_mm.length; f++) {
      const g = gap_mm[f]!
      const half = area_mm2[f]! / 2
      const zone = g < GAP_ZONES_MM[0] ? 0 : g < GAP_ZONES_MM[1] ? 1 : g < GAP_ZONES_MM[2] ? 2 : 3
      zones[zone]! += half
      if (zone === 3) continue
      if (zone === 2) putty += g * half
      else paste += g * half
      if (g < min) min = g
      if (g > max) max = g
      weighted += g * half
      area += half
    }
  return {
    paste_mm3: paste,
    putty_mm3: putty,
    zones_mm2: zones,
    min_mm: min === Infinity ? 0 : min,
    mean_mm: area > 0 ? weighted / area : 0,
    max_mm: max,
  }
}

/** The raw face of a shell's solid, only where `use` says so: its facets follow the moulded ones in the same order. */
export function rawFace(solid: Mesh<'job'>, facets: number, use: (facet: number) => boolean): Mesh<'job'> {
  const keep: number[] = []
  for (let f = 0; f < facets; f++) {
    if (!use(f)) continue
    const at = 3 * (facets + f)
    keep.push(solid.indices[at]!, solid.indices[at + 1]!, solid.indices[at + 2]!)
  }
  return makeMesh('job', solid.positions, Uint32Array.from(keep), solid.origin)
}
