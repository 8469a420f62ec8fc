import { describe, expect, it } from 'vitest'
import { analysePart, analysisStep, type PartRequest, partFindings } from '../../../src/core/analysis'
import { ownPull } from '../../../src/core/analysis/own-pull'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { Refused } from '../../../src/core/geometry/trouble'
import { heap, lump } from '../../support/analysis-solids'
import { random } from '../../support/random'
import { box, dovetailBlock, frustum, mushroom, without } from '../../support/solids'

const request = (mesh: PartRequest['mesh'], over: Partial<PartRequest> = {}): PartRequest => ({
  name: 'part',
  mesh,
  pull: [0, 0, 1],
  minDraft_deg: 2,
  mirror: { normal: [0, 1, 0], offset_mm: 0 },
  radiusLimit_mm: 50,
  minRadius_mm: 12,
  noise_mm: 0,
  ...over,
})

describe('the check of a part', () => {
  it('has the fixed keys that others rely on', () => {
    const { check } = drain(
      analysePart(request(mushroom(48), { mesh_summary: { unit: 'in', rejected: { total: 3 } } })),
    )
    expect(Object.keys(check)).toEqual(['mesh', 'draft', 'undercut', 'symmetry', 'radius'])
    for (const key of [
      'facets',
      'vertices',
      'unit',
      'closed',
      'area_mm2',
      'volume_mm3',
      'boundaryLoops',
      'islands',
      'nonManifoldEdges',
      'rejected',
    ])
      expect(check.mesh).toHaveProperty(key)
    for (const key of ['pull', 'min_deg', 'negative_mm2', 'low_mm2', 'good_mm2'])
      expect(check.draft).toHaveProperty(key)
    for (const key of ['area_mm2', 'facingAway_mm2', 'blocked_mm2', 'depth_mm', 'regions'])
      expect(check.undercut).toHaveProperty(key)
    for (const key of ['plane', 'rms_mm', 'p95_mm', 'max_mm', 'unseen_mm2']) expect(check.symmetry).toHaveProperty(key)
    for (const key of ['min_mm', 'p01_mm']) expect(check.radius).toHaveProperty(key)
    expect(check.mesh.unit).toBe('in')
    expect(check.mesh.rejected.total).toBe(3)
    expect(check.mesh.closed).toBe(true)
    expect(
      check.mesh.volume_mm3 / (24 * Math.sin(Math.PI / 24) * (100 * 100 * 10 + 20 * 20 * 30 + 50 * 50 * 10)),
    ).toBeCloseTo(1, 5)
  })

  it('draft classes and undercut say the same about what faces away, and areas add up', () => {
    for (const mesh of [mushroom(32), dovetailBlock(), heap(5), lump(2, 3)]) {
      const { check, undercut_mm2, undercutClass } = drain(analysePart(request(mesh)))
      const { draft, undercut } = check
      expect(draft.negative_mm2 / undercut.facingAway_mm2).toBeCloseTo(1, 5)
      expect((draft.negative_mm2 + draft.low_mm2 + draft.good_mm2) / check.mesh.area_mm2).toBeCloseTo(1, 5)
      const sum = undercut_mm2.values.reduce((a, b) => a + b, 0)
      expect(sum / undercut.area_mm2).toBeCloseTo(1, 5)
      const regions = undercut.regions.reduce((a, r) => a + r.area_mm2, 0)
      expect(regions / undercut.area_mm2).toBeCloseTo(1, 4)
      expect(undercutClass.length).toBe(facetCount(mesh))
    }
  })

  it('findings say where, how much, the limit, and what would mend it', () => {
    const steep = without(frustum(1000, 1000 - 60 * Math.tan(Math.PI / 180), 60, 96), (f) => f >= 192 && f < 288)
    const findings = drain(
      analysisStep({ parts: [request(steep, { name: 'underside' }), request(mushroom(48), { name: 'topside' })] }),
    ).findings
    const low = findings.find((f) => f.id === 'analysis.underside.draft-low')!
    expect(low.severity).toBe('warning')
    expect(low.value).toBeCloseTo(1, 2)
    expect(low.limit).toBe(2)
    expect(low.advice).toContain('Add 1.0 degrees of draft')
    expect(low.where).toHaveLength(3)
    expect(findings.some((f) => f.id.startsWith('analysis.underside.undercut'))).toBe(false)
    const holds = findings.filter((f) => f.severity === 'hold')
    expect(holds.map((f) => f.id)).toEqual([
      'analysis.topside.undercut.1',
      'analysis.topside.undercut.2',
      'analysis.topside.undercut.3',
    ])
    expect(holds.some((f) => f.message.includes('is blocked') && f.advice!.includes('30 mm'))).toBe(true)
    expect(findings.some((f) => f.id === 'analysis.topside.sharp-inside')).toBe(true)
    expect(new Set(findings.map((f) => f.id)).size).toBe(findings.length)
  })

  it('a part that can leave with good draft has nothing to say', () => {
    const good = without(frustum(1000, 900, 60, 96), (f) => f >= 192 && f < 288)
    const asked = request(good)
    expect(partFindings(asked, drain(analysePart(asked)))).toEqual([])
  })

  it('refuses what cannot be checked in one sentence', () => {
    const empty = without(box([0, 0, 0], [1, 1, 1]), () => true)
    for (const bad of [
      request(empty),
      request(mushroom(8), { pull: [0, 0, 0] }),
      request(mushroom(8), { minDraft_deg: 90 }),
    ]) {
      try {
        drain(analysePart(bad))
        expect.unreachable()
      } catch (error) {
        expect(error).toBeInstanceOf(Refused)
        expect((error as Refused).refusal.message).toMatch(/^[^.]*\.$/)
      }
    }
  })

  it('yields often enough to be cancelled: no block of work without a yield for a mesh of 20,000 facets is long in steps', () => {
    let yields = 0
    let last = 0
    for (const step of analysePart(request(lump(1, 5)))) {
      const fraction = typeof step === 'number' ? step : step.fraction
      expect(fraction).toBeGreaterThanOrEqual(last - 1e-9)
      expect(fraction).toBeLessThanOrEqual(1 + 1e-9)
      last = fraction
      yields++
    }
    expect(yields).toBeGreaterThan(60)
  })
})

describe('own pull of a group of facets', () => {
  it('is the axis of the smallest cap that holds all normals', () => {
    const chance = random(4)
    for (let trial = 0; trial < 20; trial++) {
      const axis = chance.direction()
      const normals: number[] = []
      // Normals on a ring 60 degrees from the axis, and some inside it.
      for (let i = 0; i < 40; i++) {
        const d = chance.direction()
        const along = d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2]
        const across = d.map((c, k) => c - along * axis[k]!)
        const length = Math.hypot(...across)
        const t = i < 12 ? 0.5 : chance.between(0.5, 1)
        normals.push(...across.map((c, k) => t * axis[k]! + (Math.sqrt(1 - t * t) * c) / length))
      }
      const found = ownPull(
        Float64Array.from(normals),
        Array.from({ length: 40 }, (_, i) => i),
      )!
      expect(found.leastSine).toBeGreaterThanOrEqual(0.5 - 1e-6)
      // Nothing does better: every direction tried at random leaves some normal lower.
      for (let i = 0; i < 200; i++) {
        const d = chance.direction()
        let least = 1
        for (let k = 0; k < normals.length; k += 3)
          least = Math.min(least, normals[k]! * d[0] + normals[k + 1]! * d[1] + normals[k + 2]! * d[2])
        expect(least).toBeLessThanOrEqual(found.leastSine + 1e-6)
      }
    }
  })

  it('is null when opposite sides are in the group', () => {
    expect(ownPull(Float64Array.from([0, 0, 1, 0, 0, -1]), [0, 1])).toBeNull()
    expect(ownPull(Float64Array.from([1, 0, 0, -0.6, 0.8, 0, -0.6, -0.8, 0]), [0, 1, 2])).toBeNull()
    expect(ownPull(Float64Array.from([0, 0, 0]), [0])).toBeNull()
  })
})
