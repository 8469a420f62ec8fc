/** Area by value, for the legend. */
import type { MapScale } from './map-scale'

interface Bin {
  readonly from: number
  readonly to: number
  readonly area_mm2: number
  /** How much of the bin's area fails. */
  readonly fails_mm2: number
}

export interface AreaHistogram {
  readonly bins: readonly Bin[]
  readonly largest_mm2: number
  /** Area of facets without an answer: counted, not drawn. */
  readonly unanswered_mm2: number
}

/**
 * @param values one per facet; NaN: no answer
 * @param area_mm2 one per facet
 * @param fails says of a facet whether it fails
 */
export function areaHistogram(
  values: Float32Array,
  area_mm2: Float32Array,
  scale: MapScale,
  fails: (facet: number) => boolean,
): AreaHistogram {
  const count = Math.round((scale.to - scale.from) / scale.bin)
  const area = new Float64Array(count)
  const failing = new Float64Array(count)
  let unanswered_mm2 = 0
  for (let f = 0; f < values.length; f++) {
    const v = values[f]!
    if (Number.isNaN(v)) {
      unanswered_mm2 += area_mm2[f]!
      continue
    }
    const b = Math.min(Math.max(Math.floor((v - scale.from) / scale.bin), 0), count - 1)
    area[b]! += area_mm2[f]!
    if (fails(f)) failing[b]! += area_mm2[f]!
  }
  const bins = Array.from({ length: count }, (_, b) => ({
    from: scale.from + b * scale.bin,
    to: scale.from + (b + 1) * scale.bin,
    area_mm2: area[b]!,
    fails_mm2: failing[b]!,
  }))
  return { bins, largest_mm2: bins.reduce((most, b) => Math.max(most, b.area_mm2), 0), unanswered_mm2 }
}
