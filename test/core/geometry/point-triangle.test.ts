import { describe, expect, it } from 'vitest'
import { closestOnTriangle, FEATURE, pointTriangleDistance2 } from '../../../src/core/geometry/point-triangle'

const { a, b, c, ab, bc, ca, face } = FEATURE

describe('point and triangle', () => {
  // G30, check-values 1c: regions after C. Ericson, Real-Time Collision Detection (2005), ch. 5.
  const rows: readonly [readonly [number, number, number], number, number][] = [
    [[0.25, 0.25, 1], 1, face],
    [[0.2, 0.2, -0.7], 0.7, face],
    [[-1, -1, 0], Math.SQRT2, a],
    [[2, 0, 0], 1, b],
    [[0.5, -1, 0], 1, ab],
    [[1, 1, 0], Math.SQRT1_2, bc],
    [[-1, 0.5, 0], 1, ca],
    [[-1, 3, 0], 2.236067977, c],
    [[2, -1, 2], 2.449489743, b],
  ]
  it.each(rows)('G30 %j is %f away, on feature %i', (p, distance, feature) => {
    const out = new Float64Array(5)
    const got = closestOnTriangle(...p, 0, 0, 0, 1, 0, 0, 0, 1, 0, out)
    expect(got).toBe(feature)
    const d = Math.hypot(p[0] - out[0]!, p[1] - out[1]!, p[2] - out[2]!)
    expect(Math.abs(d - distance)).toBeLessThan(5e-10)
    expect(Math.abs(Math.sqrt(pointTriangleDistance2(...p, 0, 0, 0, 1, 0, 0, 0, 1, 0)) - d)).toBeLessThan(1e-12)
    // The weights give the same point.
    expect(out[3]).toBeCloseTo(out[0]!, 12)
    expect(out[4]).toBeCloseTo(out[1]!, 12)
  })

  it('a triangle without area is its longest edge, or its point', () => {
    const out = new Float64Array(5)
    const line = [0, 0, 0, 1, 0, 0, 3, 0, 0] as const
    expect(pointTriangleDistance2(2, 1, 0, ...line)).toBeCloseTo(1, 12)
    closestOnTriangle(2, 1, 0, ...line, out)
    expect([...out.subarray(0, 3)]).toEqual([2, 0, 0])
    const point = [5, 5, 5, 5, 5, 5, 5, 5, 5] as const
    expect(pointTriangleDistance2(5, 5, 7, ...point)).toBe(4)
  })
})
