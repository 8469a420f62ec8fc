import { describe, expect, it } from 'vitest'
import { difference, differenceText, setClearance } from '../../../src/core/job'
import { jobWith } from '../../state/results-at-hand'

const words = (a: unknown, b: unknown) => difference(a, b).map(differenceText)

describe('the difference of two jobs', () => {
  it('names what changed, with units, and nothing else', () => {
    const job = jobWith()
    const after = setClearance({ gap_mm: 14, symmetric: false }).apply(job)
    expect(words(job, after)).toEqual(['clearance gap 12 mm → 14 mm', 'clearance symmetric true → false'])
    expect(words(job, job)).toEqual([])
  })

  it('follows things by their id, keeps places whole, and says what came and went', () => {
    const before = {
      fittings: [
        { id: 'lamp', at_mm: [1, 2] },
        { id: 'box', at_mm: [0, 0] },
      ],
    }
    const after = { fittings: [{ id: 'box', at_mm: [0, 0] }, { id: 'lamp', at_mm: [1, 3] }, { id: 'vent' }] }
    expect(words(before, after)).toEqual(['fittings lamp at [1,2] → [1,3]', 'fittings vent added'])
    expect(words(after, before)).toContain('fittings vent removed')
  })
})
