import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, clearanceStep, requiredGap_mm } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { expectSentence, refusal } from '../../support/refusals'
import { ringFrame, straight } from './tube-frame'

const frame = ringFrame({ cross: [[0, 20]], legs: false })
const none = { laminate_mm: 0, shrinkage_percent: 0 }
const around = { name: 'winch', min_mm: [-60, -100, -100], max_mm: [60, 100, 100], gap_mm: 40 } as const

function step(own: object, bearing: Parameters<typeof clearanceStep>[0]['bearing'] = []) {
  const settings = { ...CLEARANCE_DEFAULTS, sample_mm: 8, ...own }
  return clearanceStep({
    frame,
    rimVertex: new Uint8Array(frame.positions.length / 3),
    unseenFacet: null,
    noise_mm: 0,
    settings,
    facetGap_mm: requiredGap_mm(frame, null, settings),
    bearing,
  })
}

describe('the gap each facet asks for', () => {
  const one = makeMesh('job', Float32Array.from([-1000, 0, 0, 1000, 0, 0, 1000, 500, 0]), Uint32Array.from([0, 1, 2]))

  it('is that of the job where nothing else is said', () => {
    expect(requiredGap_mm(one, null, { gap_mm: 12, regions: [], allowance: none })).toBeNull()
  })

  it('of two regions that overlap the later one holds, and both hold over the tube', () => {
    const regions = [7, 9].map(
      (gap_mm) => ({ name: `${gap_mm}`, min_mm: [990, -10, -1], max_mm: [1010, 10, 1], gap_mm }) as const,
    )
    expect([...requiredGap_mm(one, Float32Array.of(3), { gap_mm: 12, regions, allowance: none })!]).toEqual([9])
  })

  it('shrinkage is kept in proportion to the distance from the middle, at the furthest corner', () => {
    const gaps = requiredGap_mm(one, null, {
      gap_mm: 12,
      regions: [],
      allowance: { laminate_mm: 1, shrinkage_percent: 0.4 },
    })
    // 0.4 % of 1118 mm is 4.47 mm, rounded up to a quarter.
    expect(gaps![0]).toBe(13 + 4.5)
  })
})

describe('regions, allowance and bedding in the shell', () => {
  it('keeps the gap of a region there, and says what it is', () => {
    const { certificate, regions, underside } = drain(step({ regions: [around] }))
    expect(certificate.verdict).toBe('proven')
    expect(regions[0]!.facets).toBeGreaterThan(50)
    expect(regions[0]!.min_mm!).toBeGreaterThanOrEqual(40)
    // Another library, over the facets with a corner in the box.
    const { positions: p, indices } = frame
    const inBox = (v: number) =>
      Math.abs(p[3 * v]!) <= 60 && Math.abs(p[3 * v + 1]!) <= 100 && Math.abs(p[3 * v + 2]!) <= 100
    const corners = Array.from({ length: indices.length / 3 }, (_, f) => [...indices.subarray(3 * f, 3 * f + 3)])
    const middle = makeMesh('job', p, Uint32Array.from(corners.filter((c) => c.some(inBox)).flat()))
    const other = surfaceIndex(underside.face).leastDistance(surfaceIndex(middle)).distance_mm
    expect(Math.abs(other - regions[0]!.min_mm!)).toBeLessThan(1e-3)
    // Elsewhere the plain gap is still enough.
    expect(certificate.min_mm).toBeLessThan(20)
  })

  it('a region beside the metal is pointed out', () => {
    const { findings } = drain(step({ regions: [{ ...around, min_mm: [200, 0, 500], max_mm: [300, 50, 600] }] }))
    expect(findings.map((f) => f.id)).toContain('clearance.region-empty.1')
  })

  it('an allowance lifts the shell by what it says', () => {
    const plain = drain(step({})).certificate
    const more = drain(step({ allowance: { laminate_mm: 2.5, shrinkage_percent: 0 } })).certificate
    expect(more.required_mm).toBe(14.5)
    expect(more.verdict).toBe('proven')
    expect(more.min_mm - plain.min_mm).toBeGreaterThan(2.4)
    expect(more.min_mm - plain.min_mm).toBeLessThan(2.7)
  })

  it('the gap along a bearing tube: least where the surface rests on it', () => {
    const ring = ringFrame({ cross: [], legs: false }).indices.length / 3
    const facets = Uint32Array.from({ length: frame.indices.length / 3 - ring }, (_, k) => ring + k)
    const axis = Float64Array.from(straight([0, -400, 40], [0, 400, 40]).flat())
    const { bearing, underside } = drain(
      step({}, [{ id: 't', name: 'cross', gap_mm: 12, radius_mm: 19, closed: false, axis, facets }]),
    )
    const [series] = bearing
    expect(series!.gap_mm).toHaveLength(40)
    expect(series!.under).toBe(1)
    const cross = makeMesh('job', frame.positions, frame.indices.slice(3 * ring))
    const other = surfaceIndex(underside.face).leastDistance(surfaceIndex(cross)).distance_mm
    expect(Math.abs(series!.least_mm! - other)).toBeLessThan(1e-3)
    expect(series!.mean_mm!).toBeGreaterThan(series!.least_mm!)
    expect(series!.largest_mm!).toBeGreaterThan(series!.mean_mm!)
  })

  it.each([
    [{ regions: [{ ...around, max_mm: [-60, 100, 100] }] }, /winch.*along x/],
    [{ regions: [{ ...around, gap_mm: 400 }] }, /winch.*between 0 and 100/],
    [{ allowance: { laminate_mm: 0, shrinkage_percent: 20 } }, /0 to 5 %/],
  ])('refused: %j', (own, says) => {
    const no = refusal(() => step(own))
    expect(no.message).toMatch(says)
    expectSentence(no.message)
  })
})
