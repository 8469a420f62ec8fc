import { describe, expect, it } from 'vitest'
import { pullMap, pullStudy, undercut } from '../../../src/core/analysis'
import { drain } from '../../../src/core/geometry/kernel'
import { dovetailBlock, mushroom } from '../../support/solids'

describe('one pull tried out', () => {
  it('says what the whole check says of that pull, facet for facet (G48)', () => {
    const mesh = mushroom(64)
    const study = drain(pullStudy({ mesh, pull: [0, 0, 2], minDraft_deg: 3 }))
    const check = drain(undercut(mesh, [0, 0, 1]))
    expect(study.pull).toEqual([0, 0, 1])
    expect(study.undercut.area_mm2).toBeCloseTo(check.summary.area_mm2, 9)
    expect(Array.from(study.undercutClass)).toEqual(Array.from(check.undercutClass))
    expect(study.meshId).toBe(mesh.id)
  })
})

describe('the disc of pulls', () => {
  it('holds the truth where it was looked, a bound elsewhere, and a split that frees a dovetail', () => {
    const mesh = dovetailBlock()
    const { search, split, symmetric } = drain(pullMap({ mesh, symmetric: false, split: true }))
    expect(symmetric).toBe(false)
    for (const i of [0, 40, 400]) {
      const pull = [0, 1, 2].map((k) => search.directions[3 * i + k]!) as [number, number, number]
      const { area_mm2 } = drain(pullStudy({ mesh, pull, minDraft_deg: 0 })).undercut
      if (search.boundOnly[i] === 1) expect(search.locked_mm2[i]!).toBeLessThanOrEqual(area_mm2 * (1 + 1e-6))
      else expect(search.locked_mm2[i]!).toBeCloseTo(area_mm2, 3)
    }
    expect(split!.locked_mm2).toBeLessThanOrEqual(split!.lockedWhole_mm2)
    expect(split!.partingLine_mm).toBeGreaterThan(100)
  })

  it('keeps to the centreline plane where it is told to', () => {
    const { search } = drain(pullMap({ mesh: mushroom(32), symmetric: true, split: false }))
    for (const { pull } of search.best) expect(Math.abs(pull[1])).toBeLessThan(1e-9)
  })
})
