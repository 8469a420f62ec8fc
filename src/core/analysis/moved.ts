/** How far one surface has moved since an earlier one: two releases of the same face held against each other. */
import type { Point } from '../geometry/axes'
import { type FacetField, facetField } from '../geometry/facet-field'
import { type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetMiddle, type Mesh } from '../geometry/mesh'
import { weightedQuantile } from '../geometry/weighted-quantile'
import { offsetsOf } from './as-made'

export interface MovedRequest {
  readonly now: Mesh<'job'>
  readonly before: Mesh<'job'>
}

export interface MovedSurface {
  /** Area-weighted over the face as it is now, mm; `most_mm` with its sign. */
  readonly most_mm: number
  readonly mostAt: Point | null
  readonly mean_mm: number
  readonly p95_mm: number
  /** Area that has nothing of the earlier face beside it: it was not there, or lay further off than `reach_mm`. mm2 */
  readonly new_mm2: number
  readonly reach_mm: number
  /** Signed move of each facet's middle, mm: above 0 went up, a wall outwards; NaN where nothing was. */
  readonly moved: FacetField
}

/** A face that moved further than this is another face. */
const REACH_MM = 100

/**
 * Distance to the nearest place of the earlier face, its sign turned so that above 0 is up whichever way the face looks.
 * @throws a defect for a mesh without facets
 */
export function* movedSurface({ now, before }: MovedRequest): Steps<MovedSurface> {
  const shape = yield* within(0, 0.05, 'what moved', facetShape(now))
  const { values: offsets, unmet_mm2 } = yield* within(0.05, 1, 'what moved', offsetsOf(now, shape, before, REACH_MM))
  const { areas_mm2, normals } = shape
  let looksUp = 0
  for (let f = 0; f < areas_mm2.length; f++) looksUp += areas_mm2[f]! * normals[3 * f + 2]!
  // An offset points from the face to what it is held against; the face came from there.
  const turn = looksUp < 0 ? 1 : -1
  const values = new Float32Array(offsets.length)
  const size = new Float64Array(values.length)
  const weight = new Float64Array(values.length)
  let [sum, area, most] = [0, 0, -1]
  for (let f = 0; f < values.length; f++) {
    values[f] = turn * offsets[f]! + 0
    if (Number.isNaN(values[f]!)) continue
    size[f] = Math.abs(values[f]!)
    weight[f] = areas_mm2[f]!
    area += areas_mm2[f]!
    sum += areas_mm2[f]! * values[f]!
    if (most < 0 || size[f]! > size[most]!) most = f
  }
  return {
    most_mm: most < 0 ? 0 : values[most]!,
    mostAt: most < 0 ? null : facetMiddle(now, most),
    mean_mm: area > 0 ? sum / area : 0,
    p95_mm: area > 0 ? weightedQuantile(size, weight, 0.95) : 0,
    new_mm2: unmet_mm2,
    reach_mm: REACH_MM,
    moved: facetField(now, values, 'mm'),
  }
}
