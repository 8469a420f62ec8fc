import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, ZONES } from '../../../src/core/clearance'
import { bounds } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { drafts, expectClosed, expectExactlySymmetric, expectValidSolid, plan } from './shells'
import { ringFrame } from './tube-frame'

describe('both shells over a ring with a cross tube and legs', () => {
  const frame = ringFrame({ noise: 0.2, low: 6, seed: 3 })
  const result = plan(frame, {}, { noise_mm: 0.2 })
  const { underside, topside, certificate } = result

  it('is proven, and another library finds the same least distance', () => {
    expect(certificate.verdict).toBe('proven')
    expect(certificate.margin_mm).toBeGreaterThanOrEqual(0.4)
    expect(certificate.notProven_mm2 + certificate.fails_mm2 + certificate.unseen_mm2).toBe(0)
    const other = surfaceIndex(underside.face).leastDistance(surfaceIndex(frame))
    expect(other.distance_mm).toBeGreaterThanOrEqual(12.4)
    expect(Math.abs(other.distance_mm - certificate.min_mm)).toBeLessThan(1e-3)
  })

  it('rests on the grown frame', () => {
    // Promise 1 of the step: 95th percentile of the excess lift not over 0.5 mm.
    expect(certificate.excessLift.p95_mm).toBeLessThan(0.5)
    expect(certificate.excessLift.p50_mm).toBeGreaterThanOrEqual(0)
    expect(certificate.excessLift.p95_mm).toBeGreaterThan(0)
  })

  it('is symmetric to the last bit though the frame is not', () => {
    for (const mesh of [underside.face, underside.solid, topside.face, topside.solid]) expectExactlySymmetric(mesh)
  })

  it('leaves its moulds: every facet at the asked draft or more, the skirt at the asked draft', () => {
    for (const shell of [underside, topside]) {
      const d = drafts(shell)
      expect(d.least).toBeGreaterThan(2.99)
      expect(Math.abs(d.skirt[0] - 3)).toBeLessThan(0.01)
      expect(Math.abs(d.skirt[1] - 3)).toBeLessThan(0.01)
    }
  })

  it('gives closed solids that the solid library accepts, with the volume of the divergence theorem', async () => {
    for (const { solid } of [underside, topside]) {
      expectClosed(solid)
      await expectValidSolid(solid)
    }
  })

  it('holds the bond gap along the shoebox and the cavity over the crown', () => {
    const lower = surfaceIndex(underside.solid)
    expect(lower.leastDistance(surfaceIndex(topside.solid)).distance_mm).toBeGreaterThan(1.95)
    // Raw faces: the second half of a solid's vertices, in the order of the face's.
    const n = topside.face.positions.length / 3
    const crown = new Set<number>()
    topside.zone.forEach((z, f) => {
      if (z === ZONES.indexOf('crown')) for (let c = 0; c < 3; c++) crown.add(topside.face.indices[3 * f + c]!)
    })
    let least = Infinity
    let k = 0
    for (const v of crown) {
      if (k++ % 7) continue
      const at = [0, 1, 2].map((c) => topside.solid.positions[3 * (n + v) + c]!) as [number, number, number]
      least = Math.min(least, lower.closestPoint(at)!.distance_mm)
    }
    expect(least).toBeGreaterThan(CLEARANCE_DEFAULTS.cavity_mm - 0.1)
    expect(least).toBeLessThan(CLEARANCE_DEFAULTS.cavity_mm + 0.5)
  })

  it('keeps the least concave radius of the sheet', () => {
    expect(result.leastConcaveRadius_mm).toBeGreaterThan(12 * 0.98)
  })

  it('lies over the frame it was made for', () => {
    const shell = bounds(underside.face)
    const ring = bounds(ringFrame({ legs: false }))
    for (const k of [0, 1] as const) {
      // Tube, gap and guard, then wall and flange, and no more than a few millimetres beyond.
      expect(shell.max[k] - ring.max[k]).toBeGreaterThan(12.4 + 25)
      expect(shell.max[k] - ring.max[k]).toBeLessThan(12.4 + 25 + 12 + 6)
    }
  })
})

describe('what is asked is kept', () => {
  it.each([
    { gap_mm: 3, draft_deg: 1, skirt_mm: 60 },
    { gap_mm: 40, draft_deg: 8, skirt_mm: 120 },
    { gap_mm: 12, draft_deg: 3, skirt_mm: 45, edgeRadius_mm: 35, camberAcross_mm: 12000, tautness: 0.3 },
    { gap_mm: 12, draft_deg: 5, joint: 'flat' as const },
  ])('$gap_mm mm, $draft_deg°', async (settings) => {
    const frame = ringFrame({
      noise: 0.3,
      seed: 5,
      cross: [
        [-200, 25],
        [200, -15],
      ],
    })
    const { underside, topside, certificate } = plan(frame, { sample_mm: 6, ...settings }, { noise_mm: 0.3 })
    expect(certificate.verdict).toBe('proven')
    const other = surfaceIndex(underside.face).leastDistance(surfaceIndex(frame))
    expect(other.distance_mm).toBeGreaterThanOrEqual(settings.gap_mm + 0.6 - 1e-3)
    for (const shell of [underside, topside]) {
      const d = drafts(shell)
      expect(d.least).toBeGreaterThan(settings.draft_deg - 0.01)
      expect(Math.abs(d.skirt[1] - settings.draft_deg)).toBeLessThan(0.01)
      expectExactlySymmetric(shell.solid)
      expectClosed(shell.solid)
      await expectValidSolid(shell.solid)
    }
  })

  it('takes each facet at its own gap', () => {
    const ring = ringFrame({ cross: [], legs: false })
    const frame = ringFrame({ cross: [[0, 20]], legs: false })
    const gaps = new Float32Array(frame.indices.length / 3).fill(20)
    gaps.fill(5, ring.indices.length / 3)
    const { certificate, underside } = plan(frame, { sample_mm: 6 }, { facetGap_mm: gaps })
    expect(certificate.verdict).toBe('proven')
    // The cross tube stands 20 mm proud and asks for 5: the sheet rests on it, so the least distance is its gap.
    expect(certificate.required_mm).toBe(5)
    expect(certificate.min_mm).toBeGreaterThanOrEqual(5)
    expect(certificate.min_mm).toBeLessThan(5.5)
    expect(surfaceIndex(underside.face).leastDistance(surfaceIndex(ring)).distance_mm).toBeGreaterThanOrEqual(20)
  })

  it('does without symmetry where it is told to', () => {
    const frame = ringFrame({ low: 40, cross: [[100, 10]] })
    const { underside, certificate } = plan(frame, { symmetric: false, sample_mm: 6 })
    expect(certificate.verdict).toBe('proven')
    expectClosed(underside.solid)
    expect(drafts(underside).least).toBeGreaterThan(2.99)
    const box = bounds(underside.face)
    expect(Math.abs(box.max[1] + box.min[1])).toBeLessThan(10)
  })

  it('gives the same bytes twice', () => {
    const frame = ringFrame({ noise: 0.3, seed: 8 })
    const settings = { sample_mm: 8 }
    expect(plan(frame, settings).underside.solid.id).toBe(plan(frame, settings).underside.solid.id)
  })
})
