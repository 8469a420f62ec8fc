import { describe, expect, it } from 'vitest'
import {
  acosDeg,
  asinDeg,
  atan2Deg,
  atanDeg,
  cosDeg,
  exp,
  ln,
  power,
  sinDeg,
  tanDeg,
} from '../../../src/core/geometry/portable-math'
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

  it('exponential and logarithm agree with the engine to a few parts in 1e16, from end to end of what a double holds', () => {
    const { next: random } = seeded(13)
    for (let i = 0; i < 5000; i++) {
      const x = (random() - 0.5) * (i % 2 ? 4 : 1400)
      expect(Math.abs(exp(x) / Math.exp(x) - 1)).toBeLessThan(1e-15)
      const y = Math.exp(x)
      expect(Math.abs(ln(y) - Math.log(y))).toBeLessThanOrEqual(4e-16 * Math.max(1, Math.abs(Math.log(y))))
    }
    for (let n = -1074; n <= 1023; n += 13) expect(ln(2 ** n)).toBeCloseTo(n * Math.LN2, 11)
    expect([exp(0), exp(-800), exp(800), ln(1), ln(0), ln(Infinity)]).toEqual([1, 0, Infinity, 0, -Infinity, Infinity])
    expect(ln(-1)).toBeNaN()
    expect(exp(-745.1)).toBe(5e-324)
    expect(exp(1)).toBeCloseTo(Math.E, 15)
    expect(ln(10)).toBeCloseTo(Math.LN10, 15)
    expect(power(2, 10)).toBeCloseTo(1024, 10)
    expect(power(2, -0.5)).toBeCloseTo(Math.SQRT1_2, 15)
  })
})
