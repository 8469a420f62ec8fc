/** Promises 1 and 2 of the step on three small frames; ten scanned ones by `test/bench/shell-promises.ts`. */
import { describe, expect, it } from 'vitest'
import { makeMesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { selfIntersections } from '../../support/self-intersections'
import { box } from '../../support/solids'
import { expectValidSolid, plan } from './shells'
import { ringFrame } from './tube-frame'

describe('the test of self-intersection itself', () => {
  it('finds none in a box, and some in one that is turned inside out at a corner', () => {
    const good = box([0, 0, 0], [40, 40, 40])
    expect(selfIntersections(good)).toBe(0)
    const p = good.positions.slice()
    const far = Array.from({ length: p.length / 3 }, (_, v) => v).find(
      (v) => p[3 * v] === 40 && p[3 * v + 1] === 40 && p[3 * v + 2] === 40,
    )!
    p.set([-10, 15, 15], 3 * far)
    expect(selfIntersections(makeMesh('job', p, good.indices))).toBeGreaterThan(0)
  })
})

describe('noisy frames that are not symmetric', () => {
  const small = { length: 600, width: 440, noise: 0.3 }
  it.each([
    { gap_mm: 3, frame: { ...small, seed: 2, low: 4 } },
    { gap_mm: 20, frame: { ...small, seed: 5, low: 0, cross: [[-90, 30] as const, [110, -10] as const] } },
    { gap_mm: 40, frame: { ...small, seed: 8, low: 8, camber: 40 } },
  ])('gap $gap_mm mm', async ({ gap_mm, frame: shape }) => {
    const frame = ringFrame(shape)
    const { certificate, underside, topside } = plan(frame, { gap_mm, sample_mm: 6 }, { noise_mm: 0.3 })
    const other = surfaceIndex(underside.face).leastDistance(surfaceIndex(frame)).distance_mm
    expect(certificate.verdict).toBe('proven')
    expect(other).toBeGreaterThanOrEqual(gap_mm - 1e-3)
    expect(Math.abs(other - certificate.min_mm)).toBeLessThan(1e-3)
    expect(certificate.excessLift.p95_mm).toBeLessThanOrEqual(0.5)
    for (const { solid } of [underside, topside]) {
      expect(selfIntersections(solid)).toBe(0)
      await expectValidSolid(solid)
    }
  })
})
