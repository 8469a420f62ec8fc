/**
 * Scallop, step-over, cutting values, time and tool class against the check values C01–C18 and T13, T14.
 *
 * Sources as given there: machining handbooks (flat scallop, speed, feed, removal); a mathematics Q&A, "distance between tangent
 * points of two identical circles internally tangent to a larger circle", for the concave step-over, re-derived; T13 and T14
 * derived from the cost formula.
 */
import { describe, expect, it } from 'vitest'
import {
  effectiveDiameter_mm,
  feed_mm_min,
  moveTime_s,
  polylineTime_s,
  removalRate_cm3_min,
  spindleSpeed_rpm,
} from '../../../src/core/tooling/machining-time'
import {
  chordLength_mm,
  meanRidge_mm,
  scallopHeight_mm,
  scallopOnSlope_mm,
  scallopRoughness_mm,
  stepOver_mm,
  stepOverFlat_mm,
} from '../../../src/core/tooling/scallop'
import { chooseToolClass, toolCost } from '../../../src/core/tooling/tool-class'

describe('scallop', () => {
  it.each([
    [10, 1, 0.0125078],
    [10, 2, 0.0501256],
    [10, 4, 0.202041],
    [10, 6, 0.460608],
    [3, 0.5, 0.0104348],
  ])('C01: R %f, step %f leaves %f', (R, s, h) => {
    expect(Math.abs(scallopHeight_mm(R, s) - h)).toBeLessThan(1e-7)
  })

  it('C02: s²/8R is low by 0.25, 1.01 and 2.30 %', () => {
    for (const [ratio, percent] of [
      [0.2, 0.25],
      [0.4, 1.01],
      [0.6, 2.3],
    ] as const) {
      const s = ratio * 10
      expect(Math.abs(100 * (1 - (s * s) / 80 / scallopHeight_mm(10, s)) - percent)).toBeLessThan(0.01)
    }
  })

  it('C03: step-over for a wanted scallop', () => {
    expect(Math.abs(stepOverFlat_mm(10, 0.05) - 1.9974984)).toBeLessThan(1e-7)
    expect(Math.abs(stepOverFlat_mm(8, 0.1) - 2.521904)).toBeLessThan(1e-7)
  })

  it('C04: concave', () => {
    expect(Math.abs(stepOver_mm(0.25, 0.01, -1 / 0.75) - 0.17233295)).toBeLessThan(1e-7)
    expect(Math.abs(stepOver_mm(0.25, 0.0075, -1 / 0.75) - 0.14943454)).toBeLessThan(1e-7)
    expect(Math.abs(stepOver_mm(10, 0.05, -1 / 50) - 2.2342492)).toBeLessThan(1e-7)
  })

  it('C05: convex, and flat as the limit of both', () => {
    expect(Math.abs(stepOver_mm(10, 0.05, 1 / 50) - 1.8224715)).toBeLessThan(1e-6)
    expect(stepOver_mm(10, 0.05, 1e-7)).toBeCloseTo(1.9974984, 5)
    expect(stepOver_mm(10, 0.05, -1e-7)).toBeCloseTo(1.9974984, 5)
  })

  it('C06: passes a step apart in plan on a slope', () => {
    for (const [deg, h] of [
      [0, 0.050126],
      [30, 0.06689],
      [45, 0.100505],
      [60, 0.202041],
    ] as const)
      expect(Math.abs(scallopOnSlope_mm(10, 2, Math.cos((deg * Math.PI) / 180)) - h)).toBeLessThan(1e-6)
  })

  it('C07, C08, C17: roughness, mean ridge, chord', () => {
    expect(Math.abs(scallopRoughness_mm(scallopHeight_mm(10, 2)).Ra / 0.012856 - 1)).toBeLessThan(0.001)
    expect(scallopRoughness_mm(1).Rq).toBeCloseTo(0.29814, 5)
    expect(meanRidge_mm(0.05)).toBeCloseTo(0.0167, 4)
    expect(chordLength_mm(1000, 0.05)).toBeCloseTo(19.99975, 5)
  })

  it('says what is impossible', () => {
    expect(() => scallopHeight_mm(10, 20)).toThrow(/uncut/)
    expect(() => stepOver_mm(10, 0.05, -1 / 8)).toThrow(/hollow/)
    expect(() => stepOverFlat_mm(10, 0)).toThrow(/scallop/)
  })
})

describe('cutting values', () => {
  it('C09–C12: speed, feed, effective diameter, removal', () => {
    expect(spindleSpeed_rpm(300, 20)).toBeCloseTo(4774.648, 3)
    expect(feed_mm_min(4774.648, 0.2, 2)).toBeCloseTo(1909.859, 3)
    expect(effectiveDiameter_mm(20, 1)).toBeCloseTo(8.717798, 6)
    expect(effectiveDiameter_mm(20, 0.5)).toBeCloseTo(6.244998, 6)
    expect(removalRate_cm3_min(10, 12, 3000)).toBe(360)
  })
})

describe('time of a polyline', () => {
  const motion = { acceleration_mm_s2: [500, 500, 500] as const }
  const straight = (length: number, pieces: number) =>
    Float64Array.from({ length: 3 * (pieces + 1) }, (_, i) => (i % 3 === 0 ? (length * Math.floor(i / 3)) / pieces : 0))

  it('C16: 10 mm take 0.282843 s, 100 mm 1.2 s, whole or in pieces of 2 mm', () => {
    expect(moveTime_s(10, 100, 500)).toBeCloseTo(0.282843, 6)
    expect(moveTime_s(100, 100, 500)).toBeCloseTo(1.2, 9)
    for (const pieces of [1, 5]) expect(polylineTime_s(straight(10, pieces), 100, motion)).toBeCloseTo(0.282843, 6)
    for (const pieces of [1, 50]) expect(polylineTime_s(straight(100, pieces), 100, motion)).toBeCloseTo(1.2, 9)
  })

  it('takes the acceleration of the axes that move: a diagonal gains √2', () => {
    const diagonal = [0, 0, 0, 10, 10, 0]
    expect(polylineTime_s(diagonal, 1e6, motion)).toBeCloseTo(2 * Math.sqrt(10 / 500), 9)
    const slowZ = { acceleration_mm_s2: [500, 500, 5] as const }
    expect(polylineTime_s([0, 0, 0, 0, 0, 10], 1e6, slowZ)).toBeCloseTo(2 * Math.sqrt(10 / 5), 9)
  })

  it('a sharp corner costs a stop, a fine arc costs no more than its centripetal limit', () => {
    const corner = polylineTime_s([0, 0, 0, 100, 0, 0, 100, 100, 0], 100, motion)
    expect(corner).toBeGreaterThan(200 / 100 + 100 / 500)
    expect(corner).toBeLessThanOrEqual(2.4 + 1e-9)
    // A circle of radius 5 at v² = a r: 50 mm/s, whatever the wish.
    const circle = Float64Array.from({ length: 3 * 721 }, (_, i) => {
      const a = (Math.PI * Math.floor(i / 3)) / 180
      return i % 3 === 0 ? 5 * Math.cos(a) : i % 3 === 1 ? 5 * Math.sin(a) : 0
    })
    const time = polylineTime_s(circle, 1000, motion)
    expect(time).toBeGreaterThan((4 * Math.PI * 5) / 72) // each axis alone may give its share
    expect(time).toBeLessThan((4 * Math.PI * 5) / 45)
  })

  it('never beats length over feed, and points in double cost nothing', () => {
    const zigzag = [0, 0, 0, 30, 0, 4, 30, 0, 4, 60, 2, 0, 61, 40, 0]
    const once = [0, 0, 0, 30, 0, 4, 60, 2, 0, 61, 40, 0]
    let length = 0
    for (let k = 3; k < once.length; k += 3)
      length += Math.hypot(once[k]! - once[k - 3]!, once[k + 1]! - once[k - 2]!, once[k + 2]! - once[k - 1]!)
    expect(polylineTime_s(once, 50, motion)).toBeGreaterThan(length / 50)
    expect(polylineTime_s(zigzag, 50, motion)).toBeCloseTo(polylineTime_s(once, 50, motion), 9)
  })
})

describe('tool class', () => {
  const t13 = {
    direct: { fixed: 14_000, life: 5, unit: 3300, lead_days: 20 },
    plug: { fixed: 31_000, life: 300, unit: 3000, lead_days: 60 },
  }
  const t14 = {
    direct: { fixed: 14_000, life: 5, unit: 2000, lead_days: 20 },
    plug: { fixed: 18_000, life: 300, unit: 3500, lead_days: 60 },
  }

  it('T13: costs and the tie at ten parts', () => {
    expect([5, 6, 10, 11].map((n) => toolCost(t13.direct, n))).toEqual([30_500, 47_800, 61_000, 78_300])
    expect([5, 6, 10, 11].map((n) => toolCost(t13.plug, n))).toEqual([46_000, 49_000, 61_000, 64_000])
    const choice = chooseToolClass(t13, 5)
    expect(choice.best).toBe('direct')
    expect(choice.ties).toContain(10)
    expect(choice.crossings).toEqual([{ parts: 11, to: 'plug' }])
    expect(chooseToolClass(t13, 10).best).toBe('direct')
    expect(chooseToolClass(t13, 11).best).toBe('plug')
  })

  it('T14: the cheaper one changes back', () => {
    const choice = chooseToolClass(t14, 7)
    expect(choice.curve.direct.slice(4, 7)).toEqual([24_000, 40_000, 42_000])
    expect(choice.curve.plug.slice(4, 7)).toEqual([35_500, 39_000, 42_500])
    expect(choice.crossings.slice(0, 3)).toEqual([
      { parts: 6, to: 'plug' },
      { parts: 7, to: 'direct' },
      { parts: 11, to: 'plug' },
    ])
    expect(choice.best).toBe('direct')
    expect(choice.cost).toEqual({ direct: 42_000, plug: 42_500 })
  })

  it('every crossing is one: brute force over the curves', () => {
    const { curve, crossings } = chooseToolClass(t14, 3, 80)
    let last = 0
    const found: number[] = []
    curve.direct.forEach((a, i) => {
      const sign = Math.sign(a - curve.plug[i]!)
      if (sign !== 0 && last !== 0 && sign !== last) found.push(i + 1)
      if (sign !== 0) last = sign
    })
    expect(crossings.map((c) => c.parts)).toEqual(found)
  })
})
