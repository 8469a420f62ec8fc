import { bounds, facetCount, type Mesh } from '../geometry/mesh'
import type { GapAllowance, GapRegion } from './shape-types'

/**
 * Shrinkage is rounded up to steps of this, mm: where neighbours ask for the same, the obstacle and the certificate are several
 * times faster than where every facet asks for its own.
 */
const STEP_MM = 0.25

export interface RequiredGap {
  readonly gap_mm: number
  readonly regions: readonly GapRegion[]
  readonly allowance: GapAllowance
}

/**
 * The gap that each facet of the frame asks for: that of the job, of its tube, or of the last region it lies in; and on top
 * of it the allowance. Shrinkage is linear about the middle of the frame in plan (x of its box, y = 0), so what a facet asks
 * for it grows with its distance from there: the wall of a mould that is longer by s comes in by s times its distance.
 *
 * @param ofTube_mm gap of each facet by its tube; `null`: no tube has one of its own
 * @returns one per facet, mm; `null` where `gap_mm` holds for all
 */
export function requiredGap_mm(
  frame: Mesh<'job'>,
  ofTube_mm: Float32Array | null,
  { gap_mm, regions, allowance }: RequiredGap,
): Float32Array | null {
  const { laminate_mm, shrinkage_percent } = allowance
  const plain = laminate_mm === 0 && shrinkage_percent === 0
  const facets = facetCount(frame)
  if (facets === 0 || (regions.length === 0 && plain)) return ofTube_mm
  const gaps = ofTube_mm ? ofTube_mm.slice() : new Float32Array(facets).fill(gap_mm)
  for (const region of regions) {
    const inside = facetsInside(frame, region)
    for (let f = 0; f < facets; f++) if (inside[f]) gaps[f] = region.gap_mm
  }
  if (plain) return gaps
  const { positions, indices, origin } = frame
  const { min, max } = bounds(frame)
  const middle = (min[0] + max[0]) / 2
  const share = shrinkage_percent / 100
  for (let f = 0; f < facets; f++) {
    let furthest = 0
    if (share > 0)
      for (let c = 0; c < 3; c++) {
        const v = 3 * indices[3 * f + c]!
        const x = positions[v]! + origin[0] - middle
        const y = positions[v + 1]! + origin[1]
        furthest = Math.max(furthest, Math.sqrt(x * x + y * y))
      }
    gaps[f]! += laminate_mm + Math.ceil((share * furthest) / STEP_MM) * STEP_MM
  }
  return gaps
}

/** 1 for each facet with a corner inside the region's box. */
export function facetsInside(frame: Mesh<'job'>, { min_mm, max_mm }: GapRegion): Uint8Array {
  const { positions, indices, origin } = frame
  const inVertex = new Uint8Array(positions.length / 3)
  for (let v = 0; v < inVertex.length; v++) {
    let inside = 1
    for (let k = 0; k < 3; k++) {
      const at = positions[3 * v + k]! + origin[k]!
      if (at < min_mm[k]! || at > max_mm[k]!) inside = 0
    }
    inVertex[v] = inside
  }
  const out = new Uint8Array(indices.length / 3)
  for (let f = 0; f < out.length; f++)
    out[f] = inVertex[indices[3 * f]!]! | inVertex[indices[3 * f + 1]!]! | inVertex[indices[3 * f + 2]!]!
  return out
}
