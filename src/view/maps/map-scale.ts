/**
 * A map's scale: where it begins and ends, its colours, where it fades into the plain part. One function of the value; the
 * shader reads it as a strip of texels and the legend calls it, so that sheet and legend cannot disagree.
 */
import { BROWN_BLUE, CIVIDIS, type Rgb, VIRIDIS } from './colour-tables'

export interface MapScale {
  readonly from: number
  readonly to: number
  readonly colours: readonly Rgb[]
  /** The colours span from here to here; beyond, the end colour goes on. */
  readonly colourFrom: number
  readonly colourTo: number
  /** Weight of the colour against the plain part: 1 up to the first value, 0 from the second on. */
  readonly fadeFrom: number
  readonly fadeTo: number
  /** A diverging scale fades out around its middle too: full weight from this distance on; 0: it does not. */
  readonly quietWithin: number
  readonly bin: number
  readonly ticks: readonly number[]
  /** Spacing of the isolines, 0: none. */
  readonly isoline: number
  /** Whether values above `to` (and, for a field with two signs, below `from`) are gathered in the last bin. */
  readonly open: 'above' | 'both'
}

/** Colour, 0…255, and its weight over the plain part, 0…1. */
export function colourAt(scale: MapScale, value: number): { rgb: Rgb; weight: number } {
  const t = Math.min(Math.max((value - scale.colourFrom) / (scale.colourTo - scale.colourFrom), 0), 1)
  const at = t * (scale.colours.length - 1)
  const i = Math.min(Math.floor(at), scale.colours.length - 2)
  const low = scale.colours[i]!
  const high = scale.colours[i + 1]!
  const rgb = [0, 1, 2].map((k) => low[k]! + (high[k]! - low[k]!) * (at - i)) as unknown as Rgb
  let weight = 1 - smooth(scale.fadeFrom, scale.fadeTo, value)
  if (scale.quietWithin > 0) weight *= smooth(0, scale.quietWithin, Math.abs(value - (scale.from + scale.to) / 2))
  return { rgb, weight }
}

/** The colour over a plain part, as CSS, for the legend. */
export function cssAt(scale: MapScale, value: number, plain: Rgb): string {
  const { rgb, weight } = colourAt(scale, value)
  return `rgb(${rgb.map((c, k) => Math.round(plain[k]! + (c - plain[k]!) * weight)).join(' ')})`
}

/** RGBA texels from `from` to `to` for the shader; alpha is the weight. */
export function scaleStrip(scale: MapScale, texels: number): Uint8Array<ArrayBuffer> {
  const strip = new Uint8Array(texels * 4)
  for (let i = 0; i < texels; i++) {
    const { rgb, weight } = colourAt(scale, scale.from + ((scale.to - scale.from) * i) / (texels - 1))
    for (let k = 0; k < 3; k++) strip[i * 4 + k] = Math.round(rgb[k]!)
    strip[i * 4 + 3] = Math.round(weight * 255)
  }
  return strip
}

const smooth = (a: number, b: number, v: number): number => {
  const t = Math.min(Math.max((v - a) / (b - a), 0), 1)
  return t * t * (3 - 2 * t)
}

/**
 * Cividis over the limit's neighbourhood: 0–60 mm for 12 asked, fading from 40 to 64, and in the same proportion for other
 * gaps. Where distances are known less far than that, the same colours end there: a colour must not stop at an edge that
 * only the search has.
 */
export function gapScale(required_mm: number, knownTo_mm: number): MapScale {
  const unit = required_mm <= 7 ? 0.5 : required_mm <= 24 ? 1 : required_mm <= 60 ? 2.5 : 10
  if (knownTo_mm >= 60 * unit)
    return {
      ...GAP,
      to: 80 * unit,
      colourTo: 60 * unit,
      fadeFrom: 40 * unit,
      fadeTo: Math.min(64 * unit, knownTo_mm),
      bin: 2.5 * unit,
      ticks: [0, 20, 40, 60, 80].map((v) => v * unit),
      isoline: 10 * unit,
    }
  const step = niceAbove(knownTo_mm / 4)
  return {
    ...GAP,
    to: step * 5,
    colourFrom: Math.max(required_mm - (knownTo_mm - required_mm) * 0.4, 0),
    colourTo: knownTo_mm,
    fadeFrom: required_mm + (knownTo_mm - required_mm) * 0.35,
    fadeTo: knownTo_mm,
    bin: step / 8,
    ticks: [0, 1, 2, 3, 4, 5].map((v) => v * step),
    isoline: 0,
  }
}

const GAP = { from: 0, colours: CIVIDIS, colourFrom: 0, quietWithin: 0, open: 'above' } as const

/** Brown–paper–blue about the asked draft: −3…9° for 3 asked. */
export function draftScale(asked_deg: number): MapScale {
  const middle = Math.round(asked_deg)
  return {
    from: middle - 6,
    to: middle + 6,
    colours: BROWN_BLUE,
    colourFrom: middle - 6,
    colourTo: middle + 6,
    fadeFrom: middle + 1,
    fadeTo: middle + 6,
    quietWithin: 0,
    bin: 0.5,
    ticks: [-6, -3, 0, 3, 6].map((v) => v + middle),
    isoline: 0,
    open: 'both',
  }
}

/** Brown–paper–blue about 0, quiet where the frame agrees with its mirror image. */
export function mirrorScale(p95_mm: number): MapScale {
  const end = niceAbove(Math.max(p95_mm, 0.5) * 1.2)
  return {
    from: -end,
    to: end,
    colours: BROWN_BLUE,
    colourFrom: -end,
    colourTo: end,
    // Both ends keep their colour.
    fadeFrom: end * 2,
    fadeTo: end * 3,
    quietWithin: end * 0.25,
    bin: end / 12,
    ticks: [-end, -end / 2, 0, end / 2, end],
    isoline: 0,
    open: 'both',
  }
}

/** Viridis up to four times the asked radius, fading from twice on. */
export function radiusScale(asked_mm: number, lookedTo_mm: number): MapScale {
  const to = niceAbove(Math.max(Math.min(asked_mm * 4, lookedTo_mm), 1))
  return {
    from: 0,
    to,
    colours: VIRIDIS,
    colourFrom: 0,
    colourTo: to * 0.8,
    fadeFrom: to * 0.5,
    fadeTo: to * 0.9,
    quietWithin: 0,
    bin: to / 24,
    ticks: [0, to / 4, to / 2, (3 * to) / 4, to],
    isoline: 0,
    open: 'above',
  }
}

/** Cividis over the whole filling: what matters is which area comes last. Front lines about every tenth. */
export function fillingScale(fill_min: number): MapScale {
  const to = niceAbove(Math.max(fill_min, 1e-3))
  return {
    from: 0,
    to,
    colours: CIVIDIS,
    colourFrom: 0,
    colourTo: fill_min,
    fadeFrom: to * 2,
    fadeTo: to * 3,
    quietWithin: 0,
    bin: to / 24,
    ticks: [0, to / 4, to / 2, (3 * to) / 4, to],
    isoline: niceAbove(to / 12),
    open: 'above',
  }
}

/** 1, 2, 3, 4, 5, 6 or 8 times a power of ten, the next above. */
function niceAbove(v: number): number {
  const power = 10 ** Math.floor(Math.log10(v))
  const step = [1, 2, 3, 4, 5, 6, 8, 10].find((s) => s * power >= v - 1e-9) ?? 10
  return step * power
}
