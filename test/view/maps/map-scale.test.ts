import { describe, expect, it } from 'vitest'
import { VERDICTS } from '../../../src/core/clearance/types'
import { FAILS, gapClasses, NOT_PROVEN, PLAIN, UNSEEN } from '../../../src/view/maps/facet-classes'
import { areaHistogram } from '../../../src/view/maps/histogram'
import {
  colourAt,
  cssAt,
  draftScale,
  gapScale,
  type MapScale,
  mirrorScale,
  radiusScale,
  scaleStrip,
} from '../../../src/view/maps/map-scale'

const scales: Record<string, MapScale> = {
  gap: gapScale(12, 100),
  'gap known less far': gapScale(12, 16),
  'wide gap': gapScale(40, 400),
  draft: draftScale(3),
  mirror: mirrorScale(2.1),
  radius: radiusScale(12, 50),
}

/** CIE L*, by sRGB (IEC 61966-2-1) and CIE 15. */
function lightness([r, g, b]: readonly [number, number, number]): number {
  const linear = (c: number) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4)
  const y = 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
  return y > 0.008856 ? 116 * Math.cbrt(y) - 16 : 903.3 * y
}

describe('scales of the maps', () => {
  it.each(Object.entries(scales))('%s: strip and legend are one function', (_, scale) => {
    const texels = 512
    const strip = scaleStrip(scale, texels)
    for (let i = 0; i < texels; i += 37) {
      const value = scale.from + ((scale.to - scale.from) * i) / (texels - 1)
      const { rgb, weight } = colourAt(scale, value)
      expect([...strip.subarray(i * 4, i * 4 + 3)]).toEqual(rgb.map(Math.round))
      expect(strip[i * 4 + 3]).toBe(Math.round(weight * 255))
    }
  })

  it.each(Object.entries(scales))('%s: bins fill the axis, ticks lie on it, nothing is not a number', (_, scale) => {
    expect(((scale.to - scale.from) / scale.bin) % 1).toBeCloseTo(0, 6)
    for (const tick of scale.ticks) expect(tick >= scale.from && tick <= scale.to).toBe(true)
    for (const v of [scale.from - 1e6, scale.from, 0, scale.to, scale.to + 1e6, Infinity])
      expect(cssAt(scale, v, [233, 230, 221])).toMatch(/^rgb\(\d+ \d+ \d+\)$/)
  })

  it('gap and radius get lighter all the way, as even scales do', () => {
    for (const scale of [scales['gap']!, scales['radius']!]) {
      let before = -1
      for (let v = scale.colourFrom; v <= scale.colourTo; v += (scale.colourTo - scale.colourFrom) / 40) {
        const l = lightness(colourAt(scale, v).rgb)
        expect(l).toBeGreaterThan(before)
        before = l
      }
    }
  })

  it('an untroubled shell is a quiet shell', () => {
    expect(colourAt(scales['gap']!, 12).weight).toBe(1)
    expect(colourAt(scales['gap']!, 64).weight).toBe(0)
    expect(colourAt(scales['draft']!, 90).weight).toBe(0)
    expect(colourAt(scales['mirror']!, 0).weight).toBe(0)
    expect(colourAt(scales['mirror']!, scales['mirror']!.to).weight).toBe(1)
  })

  it('the gap scale of the page: 0 to 80 for 12 asked, ending with what is known', () => {
    expect(scales['gap']).toMatchObject({ from: 0, to: 80, colourTo: 60, fadeFrom: 40, fadeTo: 64 })
    const near = scales['gap known less far']!
    expect(near.fadeTo).toBe(16)
    expect(colourAt(near, 12.5).weight).toBe(1)
  })
})

describe('classes and areas', () => {
  const gap_mm = Float32Array.of(9, 12.3, 14, 20, Number.NaN)
  const verdict = Uint8Array.from(
    (['fails', 'not-proven', 'proven', 'unseen', 'proven'] as const).map((v) => VERDICTS.indexOf(v)),
  )

  it('takes the verdicts of the certificate at the job’s own limit', () => {
    expect([...gapClasses({ gap_mm, verdict, guard_mm: 0.6, limit_mm: null })]).toEqual([
      FAILS,
      NOT_PROVEN,
      PLAIN,
      UNSEEN,
      PLAIN,
    ])
  })

  it('classes anew at a limit that was dragged', () => {
    expect([...gapClasses({ gap_mm, verdict, guard_mm: 0.6, limit_mm: 13.6 })]).toEqual([
      FAILS,
      FAILS,
      NOT_PROVEN,
      UNSEEN,
      PLAIN,
    ])
    expect([...gapClasses({ gap_mm, verdict, guard_mm: 0.6, limit_mm: 25 })].slice(0, 4)).toEqual([
      FAILS,
      FAILS,
      FAILS,
      FAILS,
    ])
  })

  it('loses no area between the bins', () => {
    const area = Float32Array.of(10, 20, 30, 40, 50)
    const histogram = areaHistogram(gap_mm, area, scales['gap']!, (f) => f === 0)
    expect(histogram.bins.reduce((sum, b) => sum + b.area_mm2, 0) + histogram.unanswered_mm2).toBe(150)
    expect(histogram.unanswered_mm2).toBe(50)
    expect(histogram.bins.find((b) => b.from === 7.5)).toMatchObject({ area_mm2: 10, fails_mm2: 10 })
    const far = areaHistogram(Float32Array.of(Infinity, -5), Float32Array.of(1, 2), scales['gap']!, () => false)
    expect(far.bins.at(-1)!.area_mm2).toBe(1)
    expect(far.bins[0]!.area_mm2).toBe(2)
  })
})
