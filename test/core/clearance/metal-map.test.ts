import { expect, it } from 'vitest'
import { metalMap } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { plan } from './shells'
import { ringFrame } from './tube-frame'

const frame = ringFrame({ length: 700, width: 500, legs: true })
const result = plan(frame, { sample_mm: 8 })
const { face } = result.underside

it('agrees with the certificate about the least gap, and is exact near it', () => {
  const { gap, fails } = drain(metalMap({ frame, face, gap: 12 }))
  const least = gap.values.reduce((a, b) => Math.min(a, b), Infinity)
  expect(least).toBeCloseTo(result.certificate.min_mm, 4)
  expect(fails.some((f) => f === 1)).toBe(false)
  expect(gap.values).toHaveLength(facetCount(frame))
  // A foot of a leg is far from the surface, and that is said.
  expect(gap.values.some((v) => v === Infinity)).toBe(true)
})

it('holds each facet against its own gap', () => {
  const all = drain(metalMap({ frame, face, gap: 12 })).gap.values
  const nearest = all.indexOf(all.reduce((a, b) => Math.min(a, b), Infinity))
  const own = new Float32Array(facetCount(frame)).fill(12)
  own[nearest] = 40
  const { fails } = drain(metalMap({ frame, face, gap: own }))
  expect(fails[nearest]).toBe(1)
  expect(fails.reduce((sum, f) => sum + f, 0)).toBe(1)
})
