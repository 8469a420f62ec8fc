import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  fair_px,
  fairPath,
  naturalSpline,
  sink_px,
  stripPath,
  weightPlaces_px,
} from '../../src/panels/batten/batten-curve'

describe('natural cubic spline', () => {
  test('three supports, the middle sunk: the deflection of a simply supported beam under one load', () => {
    // y(x) = (3 L² x − 4 x³) / L³ for 0 ≤ x ≤ L/2, unit deflection at the middle (beam tables, single central load).
    const L = 200
    const spline = naturalSpline([0, L / 2, L], [0, 1, 0])
    for (const x of [10, 37, 50, 81]) {
      const beam = (3 * L * L * x - 4 * x ** 3) / L ** 3
      expect(spline.at(x)).toBeCloseTo(beam, 12)
      expect(spline.at(L - x)).toBeCloseTo(beam, 12)
    }
    expect(spline.slope(0)).toBeCloseTo(3 / L, 12)
  })

  test('goes through its points, smoothly, and straight beyond its ends', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -30, max: 30, noNaN: true }), { minLength: 2, maxLength: 9 }), (ys) => {
        const xs = weightPlaces_px(ys.length, 1440)
        const spline = naturalSpline(xs, ys)
        const e = 1e-4
        xs.forEach((x, i) => {
          expect(spline.at(x)).toBeCloseTo(ys[i]!, 8)
          // First and second derivative agree on both sides of a weight.
          expect(spline.slope(x - e)).toBeCloseTo(spline.slope(x + e), 3)
          const bend = (at: number) => (spline.slope(at + e) - spline.slope(at - e)) / (2 * e)
          expect(bend(x - 3 * e)).toBeCloseTo(bend(x + 3 * e), 3)
        })
        const end = xs.at(-1)!
        expect(spline.at(end + 40) - spline.at(end + 20)).toBeCloseTo(20 * spline.slope(end), 8)
      }),
      { seed: 11, numRuns: 40 },
    )
  })

  test('a straight line stays straight, whatever the spacing', () => {
    const spline = naturalSpline([0, 10, 70, 90], [5, 6, 12, 14])
    for (const x of [-20, 3, 33, 80, 200]) expect(spline.at(x)).toBeCloseTo(5 + x / 10, 10)
  })

  test('one sunk weight swells its neighbours: they do not stay on the fair curve between the weights', () => {
    const xs = weightPlaces_px(9, 1440)
    const ys = xs.map((_, i) => fair_px(i / 8) + (i === 3 ? sink_px(1) : 0))
    const spline = naturalSpline(xs, ys)
    const between = (xs[1]! + xs[2]!) / 2
    expect(spline.at(between)).toBeLessThan(fair_px(1.5 / 8) - 0.5)
  })
})

test('the fair curve, the sinking and the spacing are those of the page', () => {
  expect([fair_px(0), fair_px(0.5), fair_px(1)]).toEqual([42, 32, 42])
  expect([0, 1, 2, 3, 9].map(sink_px)).toEqual([0, 18, 22, 22, 22])
  expect(weightPlaces_px(9, 1440)).toHaveLength(9)
  expect(weightPlaces_px(9, 1440)[0]).toBe(88)
  expect(weightPlaces_px(9, 1440)[8]).toBe(1352)
  expect(weightPlaces_px(9, 1440)[4]).toBe(720)
})

test('the strip keeps its thickness, and runs 48 px past the last weights', () => {
  const xs = [88, 300, 512]
  const spline = naturalSpline(xs, [40, 60, 40])
  const points = stripPath(spline, xs)
    .slice(1, -1)
    .split('L')
    .map((p) => p.split(' ').map(Number) as [number, number])
  const half = points.length / 2
  for (let i = 0; i < half; i++) {
    const [x, y] = points[i]!
    const [u, v] = points[points.length - 1 - i]!
    expect(Math.hypot(x - u, y - v)).toBeCloseTo(5, 1)
  }
  expect((points[0]![0] + points.at(-1)![0]) / 2).toBeCloseTo(40, 1)
  expect((points[half - 1]![0] + points[half]![0]) / 2).toBeCloseTo(560, 1)
})

test('the fair curve is drawn only where the batten leaves it', () => {
  const xs = weightPlaces_px(9, 1440)
  const fairYs = xs.map((_, i) => fair_px(i / 8))
  expect(fairPath(naturalSpline(xs, fairYs), xs)).toBe('')
  const sunk = fairYs.map((y, i) => y + (i === 4 ? 18 : 0))
  const path = fairPath(naturalSpline(xs, sunk), xs)
  expect(path).toContain(`M`)
  expect(path).toContain('720.00')
  expect(path).not.toContain('88.00 42.00')
})
