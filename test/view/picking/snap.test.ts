import { describe, expect, it } from 'vitest'
import { snapped } from '../../../src/view/picking/snap'

const bar = [
  [0, 300],
  [1000, 300.04],
] as const
const slanted = [
  [0, 400],
  [300, 800],
] as const

describe('where a dragged fitting comes to rest', () => {
  it('on the centreline to the last bit, before any tube', () => {
    expect(
      snapped(
        [412.4, 3.9],
        [
          [
            [0, 2],
            [900, 2],
          ],
        ],
        5,
      ),
    ).toEqual([412, 0])
    expect(Object.is(snapped([412.4, -3.9], [], 5)[1], 0)).toBe(true)
  })

  it('on the axis of the nearest tube beneath, its foot to a tenth', () => {
    expect(snapped([500.3, 304], [bar, slanted], 5)).toEqual([500.3, 300])
    const [x, y] = snapped([152, 598], [bar, slanted], 5)
    expect((x - 0) * 400 - (y - 400) * 300).toBeCloseTo(0, -2)
  })

  it('past the end of a tube, and out of reach, it goes by whole millimetres', () => {
    expect(snapped([1010.4, 300], [bar], 5)).toEqual([1010, 300])
    expect(snapped([500.6, 320.4], [bar], 5)).toEqual([501, 320])
  })
})
