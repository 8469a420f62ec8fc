import { describe, expect, it } from 'vitest'
import { gapCurve } from '../../src/state/gap-curve'

describe('the gap along a tube as a line', () => {
  it('lies at its height over its place, and breaks where the surface is out of reach', () => {
    const { path, asked, top_mm } = gapCurve(
      {
        id: 't',
        name: 't',
        asked_mm: 5,
        along_mm: [10, 30, 90],
        gap_mm: [0, 10, 5],
        least_mm: 0,
        mean_mm: 5,
        largest_mm: 10,
        under: 0.6,
      },
      100,
      55,
    )
    // 10 % above the largest, in whole millimetres: 11; the tube ends half a piece beyond its last middle.
    expect(top_mm).toBe(11)
    expect(asked).toBeCloseTo(55 * (1 - 5 / 11), 9)
    expect(path).toBe('M10.0 55.0L30.0 5.0M90.0 30.0')
  })
})
