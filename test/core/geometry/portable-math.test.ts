import { describe, expect, it } from 'vitest'
import { acosDeg, asinDeg, atan2Deg, atanDeg, cosDeg, sinDeg, tanDeg } from '../../../src/core/geometry/portable-math'
import { random as seeded } from '../../support/random'

describe('portable mathematics', () => {
  it('agrees with the engine to 4e-16 over many turns', () => {
    const { next: random } = seeded(11)
    for (let i = 0; i < 5000; i++) {
      const deg = (random() - 0.5) * 1440
      const rad = (deg * Math.PI) / 180
      expect(Math.abs(sinDeg(deg) - Math.sin(rad))).toBeLessThan(3e-15)
      expect(Math.abs(cosDeg(deg) - Math.cos(rad))).toBeLessThan(3e-15)
      const small = (random() - 0.5) * 90
      const x = (small * Math.PI) / 180
      expect(Math.abs(sinDeg(small) - Math.sin(x))).toBeLessThan(4e-16)
      expect(Math.abs(tanDeg(small) - Math.tan(x))).toBeLessThan(1e-15)
    }
  })

  it('is exact at quarter turns', () => {
    for (let q = -9; q <= 9; q++) {
      expect(sinDeg(90 * q)).toBeCloseTo([0, 1, 0, -1][((q % 4) + 4) % 4]!, 15)
      expect(Math.abs(sinDeg(90 * q)) === 0 || Math.abs(sinDeg(90 * q)) === 1).toBe(true)
    }
  })

  it('turns its own angles back', () => {
    const { next: random } = seeded(12)
    for (let i = 0; i < 2000; i++) {
      const deg = (random() - 0.5) * 360
      expect(atan2Deg(sinDeg(deg), cosDeg(deg))).toBeCloseTo(deg, 12)
      const t = Math.exp((random() - 0.5) * 30)
      expect(atanDeg(t)).toBeCloseTo((Math.atan(t) * 180) / Math.PI, 12)
      const s = (random() - 0.5) * 2
      expect(asinDeg(s)).toBeCloseTo((Math.asin(s) * 180) / Math.PI, 12)
      expect(acosDeg(s)).toBeCloseTo((Math.acos(s) * 180) / Math.PI, 12)
    }
  })
})
