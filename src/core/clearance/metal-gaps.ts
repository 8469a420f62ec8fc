import type { Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { type Mesh, makeMesh } from '../geometry/mesh'
import { buildTriangleTree, type TriangleTree } from '../geometry/triangle-tree'
import { facetGaps } from './facet-gaps'
import { facetsInside } from './required-gap'
import type { GapRegion } from './shape-types'

/** A tube on which the top is bedded. */
export interface BearingTube {
  readonly id: string
  readonly name: string
  /** Bedding asked for, mm. */
  readonly gap_mm: number
  readonly radius_mm: number
  readonly closed: boolean
  /** Three per station, job axes. */
  readonly axis: Float64Array
  /** Facets of the frame that belong to it. */
  readonly facets: Uint32Array
}

/** The gap between the inner surface and one tube, along it. */
export interface BearingGap {
  readonly id: string
  readonly name: string
  readonly asked_mm: number
  /** Middle of each piece of the tube over which the surface lies within reach, from its first end, mm. */
  readonly along_mm: readonly number[]
  /** Least gap in each piece: that at the crest, mm. */
  readonly gap_mm: readonly number[]
  readonly least_mm: number | null
  readonly mean_mm: number | null
  readonly largest_mm: number | null
  /** Share of the tube's pieces over which the surface lies within reach. */
  readonly under: number
}

/** How near the inner surface comes to the metal of one region. */
export interface RegionGap {
  readonly name: string
  readonly gap_mm: number
  readonly facets: number
  /** `null`: the region holds no metal, or none within 1 m. */
  readonly min_mm: number | null
  readonly at: { readonly shell: Point<'job'>; readonly frame: Point<'job'> } | null
}

/** Length of the pieces a tube is measured in, mm. */
export const PIECE_MM = 20
/** A surface further from a tube than this does not lie on it, mm. */
const REACH_MM = 100
const REGION_REACH_MM = 1000

/**
 * The gap along each bearing tube: exact distance from every facet of the tube to the surface, the least of each 20 mm of its
 * axis. What lies beyond 100 mm (the foot of a leg) is left out and counted.
 */
export function* bearingGaps(
  frame: Mesh<'job'>,
  face: TriangleTree,
  tubes: readonly BearingTube[],
): Steps<BearingGap[]> {
  const out: BearingGap[] = []
  for (const [n, tube] of tubes.entries()) {
    const { id, name, gap_mm: asked_mm } = tube
    const length = lengths(tube)
    const pieces = Math.max(1, Math.ceil(length[length.length - 1]! / PIECE_MM))
    const least = new Float64Array(pieces).fill(Infinity)
    if (tube.facets.length > 0) {
      const part = partOf(frame, tube.facets)
      const tree = yield* within(n / tubes.length, (n + 0.3) / tubes.length, '', buildTriangleTree(part))
      const gaps = yield* within(
        (n + 0.3) / tubes.length,
        (n + 1) / tubes.length,
        '',
        facetGaps(tree, face, 0, REACH_MM),
      )
      for (let f = 0; f < gaps.distance.length; f++) {
        if (!(gaps.distance[f]! < Infinity)) continue
        const s = placeAlong(tube, length, middleOf(part, f))
        const piece = Math.min(pieces - 1, Math.floor(s / PIECE_MM))
        least[piece] = Math.min(least[piece]!, gaps.distance[f]!)
      }
    }
    const reached = Array.from(least.keys()).filter((k) => least[k]! < Infinity)
    const gap_mm = reached.map((k) => least[k]!)
    const met = gap_mm.length > 0
    out.push({
      id,
      name,
      asked_mm,
      along_mm: reached.map((k) => (k + 0.5) * PIECE_MM),
      gap_mm,
      least_mm: met ? gap_mm.reduce((a, b) => Math.min(a, b)) : null,
      mean_mm: met ? gap_mm.reduce((a, b) => a + b) / gap_mm.length : null,
      largest_mm: met ? gap_mm.reduce((a, b) => Math.max(a, b)) : null,
      under: gap_mm.length / pieces,
    })
  }
  return out
}

/** Exact least distance to the metal of each region. */
export function* regionGaps(frame: Mesh<'job'>, face: TriangleTree, regions: readonly GapRegion[]): Steps<RegionGap[]> {
  const out: RegionGap[] = []
  for (const region of regions) {
    const inside = facetsInside(frame, region)
    const facets = Uint32Array.from(inside.keys()).filter((f) => inside[f] === 1)
    const { name, gap_mm } = region
    if (facets.length === 0) {
      out.push({ name, gap_mm, facets: 0, min_mm: null, at: null })
      continue
    }
    const tree = yield* buildTriangleTree(partOf(frame, facets))
    const gaps = yield* facetGaps(tree, face, 0, REGION_REACH_MM)
    const p = gaps.nearestPair
    out.push({
      name,
      gap_mm,
      facets: facets.length,
      min_mm: gaps.nearest < 0 ? null : gaps.distance[gaps.nearest]!,
      at: gaps.nearest < 0 ? null : { frame: [p[0]!, p[1]!, p[2]!], shell: [p[3]!, p[4]!, p[5]!] },
    })
  }
  return out
}

function partOf(frame: Mesh<'job'>, facets: Uint32Array): Mesh<'job'> {
  const indices = new Uint32Array(3 * facets.length)
  const number = new Map<number, number>()
  facets.forEach((f, i) => {
    for (let c = 0; c < 3; c++) {
      const v = frame.indices[3 * f + c]!
      let own = number.get(v)
      if (own === undefined) {
        own = number.size
        number.set(v, own)
      }
      indices[3 * i + c] = own
    }
  })
  const positions = new Float32Array(3 * number.size)
  for (const [v, own] of number) positions.set(frame.positions.subarray(3 * v, 3 * v + 3), 3 * own)
  return makeMesh('job', positions, indices, frame.origin)
}

function middleOf({ positions, indices, origin }: Mesh, f: number): Point {
  const at = (k: number) =>
    [0, 1, 2].reduce((sum, c) => sum + positions[3 * indices[3 * f + c]! + k]!, 0) / 3 + origin[k]!
  return [at(0), at(1), at(2)]
}

/** Length of the axis up to each of its stations; a closed one ends where it began. */
function lengths({ axis, closed }: BearingTube): Float64Array {
  const n = axis.length / 3
  const out = new Float64Array(closed ? n + 1 : n)
  for (let k = 1; k < out.length; k++) {
    const [a, b] = [3 * (k - 1), 3 * (k % n)]
    const d = [0, 1, 2].map((c) => axis[b + c]! - axis[a + c]!)
    out[k] = out[k - 1]! + Math.sqrt(d[0]! * d[0]! + d[1]! * d[1]! + d[2]! * d[2]!)
  }
  return out
}

/** Length along the axis at the place nearest to a point. */
function placeAlong(tube: BearingTube, length: Float64Array, p: Point): number {
  const { axis } = tube
  const n = axis.length / 3
  let best = Infinity
  let at = 0
  for (let k = 0; k + 1 < length.length; k++) {
    const [a, b] = [3 * k, 3 * ((k + 1) % n)]
    const d = [0, 1, 2].map((c) => axis[b + c]! - axis[a + c]!)
    const e = [0, 1, 2].map((c) => p[c as 0 | 1 | 2] - axis[a + c]!)
    const l2 = d[0]! * d[0]! + d[1]! * d[1]! + d[2]! * d[2]!
    const t = l2 > 0 ? Math.min(1, Math.max(0, (e[0]! * d[0]! + e[1]! * d[1]! + e[2]! * d[2]!) / l2)) : 0
    const off = [0, 1, 2].map((c) => e[c]! - t * d[c]!)
    const d2 = off[0]! * off[0]! + off[1]! * off[1]! + off[2]! * off[2]!
    if (d2 < best) {
      best = d2
      at = length[k]! + t * (length[k + 1]! - length[k]!)
    }
  }
  return at
}
