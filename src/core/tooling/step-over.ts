/** How far apart passes side by side may lie on a face for a wanted scallop, by its slope and curvature across them. */
import { adjacency } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { type Mesh, vertexCount } from '../geometry/mesh'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { scallopHeight_mm, stepOver_mm } from './scallop'
import type { SurfaceSamples } from './surface-samples'

export interface StepOverChoice {
  /** Distance of the passes in plan, mm. */
  readonly stepOver_mm: number
  /** Largest scallop on 95 % of the area that these passes are for. */
  readonly scallop_mm: number
  /** Convex curvature across the passes that was reckoned with, per mm (95th percentile by area). */
  readonly curvature_per_mm: number
}

/** Steeper than this the face is left to level passes: cosine of 40 degrees, squared below. */
export const RASTER_COSINE = 0.766

/**
 * Slope by C06 (a step in plan is longer along the surface by 1/cos), curvature by C05 (on a convex face the ridges stand
 * higher). Both are taken at their 95th percentile by area, so that 5 % of the area may have a higher scallop; the figure that
 * comes with it says how high it is on the rest.
 */
export function* chooseStepOver(
  mesh: Mesh,
  samples: SurfaceSamples,
  radius_mm: number,
  scallop_mm: number,
  along: 'x' | 'y',
): Steps<StepOverChoice> {
  const across = along === 'x' ? 1 : 0
  const cosine = new Float64Array(samples.count)
  const weight = new Float64Array(samples.count)
  for (let s = 0; s < samples.count; s++) {
    const n = 3 * samples.facet[s]!
    const nz = samples.normal[n + 2]!
    const nc = samples.normal[n + across]!
    if (nz < RASTER_COSINE) continue
    cosine[s] = nz / Math.sqrt(nz * nz + nc * nc)
    weight[s] = samples.area_mm2[s]!
  }
  const steep = weightedQuantile(cosine, weight, 0.05)
  const curvature = yield* within(0.2, 1, 'curvature', convexCurvature(mesh, samples, across))
  const cos = Number.isNaN(steep) ? 1 : steep
  const step = stepOver_mm(radius_mm, scallop_mm, Math.max(0, curvature)) * cos
  const most = Math.min(step, 1.9 * radius_mm * cos)
  return {
    stepOver_mm: most,
    scallop_mm: scallopHeight_mm(radius_mm, Math.min(most / cos, 1.999 * radius_mm)) * (1 + curvature * radius_mm),
    curvature_per_mm: curvature,
  }
}

/** 95th percentile by area of the curvature across the passes, from the turn of the normal between neighbours. */
function* convexCurvature(mesh: Mesh, samples: SurfaceSamples, axis: number): Steps<number> {
  const { indices, positions: p } = mesh
  const neighbours = yield* within(0, 0.7, 'curvature', adjacency(indices, vertexCount(mesh)))
  const facets = indices.length / 3
  const values = new Float64Array(3 * facets)
  const weights = new Float64Array(3 * facets)
  const middle = (f: number, k: number) =>
    (p[3 * indices[3 * f]! + k]! + p[3 * indices[3 * f + 1]! + k]! + p[3 * indices[3 * f + 2]! + k]!) / 3
  for (let h = 0; h < 3 * facets; h++) {
    const f = (h / 3) | 0
    const g = neighbours.across[h]!
    if (g < 0) continue
    if (samples.normal[3 * f + 2]! < RASTER_COSINE || samples.normal[3 * g + 2]! < RASTER_COSINE) continue
    const d = [0, 1, 2].map((k) => middle(g, k) - middle(f, k)) as [number, number, number]
    const length = Math.sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2])
    if (Math.abs(d[axis]!) < 0.7 * length) continue
    values[h] = (samples.normal[3 * g + axis]! - samples.normal[3 * f + axis]!) / d[axis]!
    weights[h] = Math.abs(d[axis]!) * length
  }
  const q = weightedQuantile(values, weights, 0.95)
  return Number.isNaN(q) ? 0 : Math.max(0, q)
}
