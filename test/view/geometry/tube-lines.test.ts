import { describe, expect, it } from 'vitest'
import { IDENTITY } from '../../../src/core/geometry/axes'
import { axisInJob } from '../../../src/state/place-words'
import type { Vec3 } from '../../../src/view/camera/eye'
import { chainLine, fastenerPegs, lengthAlong_mm, placeAlong, tubeRings } from '../../../src/view/geometry/tube-lines'

const corner: readonly Vec3[] = [
  [0, 0, 0],
  [50, 0, 0],
  [50, 100, 0],
]
const square: readonly Vec3[] = [...corner, [-50, 100, 0]]

describe('lines of a tube', () => {
  it('go on with their dashes round a corner', () => {
    // Exact: 36 on, 7 off, 7 on, 7 off; the corner at 50 mm falls on the end of the short dash (43 to 50).
    const cut = chainLine(corner, false)
    const ends = Array.from({ length: cut.length / 6 }, (_, i) => [...cut.slice(6 * i, 6 * i + 6)])
    expect(ends.slice(0, 3)).toEqual([
      [0, 0, 0, 36, 0, 0],
      [43, 0, 0, 50, 0, 0],
      [50, 7, 0, 50, 43, 0],
    ])
  })

  it('draw the share of dashes that the chain has, open and closed', () => {
    for (const closed of [false, true]) {
      const long: Vec3[] = square.map(([x, y, z]) => [40 * x, 40 * y, z])
      const cut = chainLine(long, closed)
      let drawn = 0
      for (let i = 0; i < cut.length; i += 6)
        drawn += Math.hypot(cut[i + 3]! - cut[i]!, cut[i + 4]! - cut[i + 1]!, cut[i + 5]! - cut[i + 2]!)
      expect(drawn / lengthAlong_mm(long, closed)).toBeCloseTo(43 / 57, 2)
    }
  })

  it('find a place along a run, across its corners and past its end', () => {
    expect(placeAlong(corner, false, 60)).toEqual({ at: [50, 10, 0], along: [0, 1, 0] })
    expect(placeAlong(corner, false, 1000).at).toEqual([50, 100, 0])
    const { at } = placeAlong(square, true, 250 + Math.hypot(50, 100) / 2)
    expect(at[0]).toBeCloseTo(-25, 9)
    expect(at[1]).toBeCloseTo(50, 9)
  })

  it('ring a straight tube squarely, at both ends and between', () => {
    const rings = tubeRings(
      [
        [0, 0, 0],
        [0, 0, 1000],
      ],
      false,
      40,
    )
    const heights = new Set<number>()
    for (let i = 0; i < rings.length; i += 3) {
      expect(Math.hypot(rings[i]!, rings[i + 1]!)).toBeCloseTo(20.8, 4)
      heights.add(Math.round(rings[i + 2]!))
    }
    expect([...heights].sort((a, b) => a - b)).toEqual([0, 250, 500, 750, 1000])
  })

  it('carry a peg for each fastener, from the crest up, and none where the tube is too steep', () => {
    const pegs = fastenerPegs(
      [
        { at: [1, 2, 3], up: [0, 0, 1] },
        { at: [5, 5, 5], up: null },
      ],
      20,
    )
    expect([...pegs]).toEqual([1, 2, 23, 1, 2, 58])
  })

  it('stand where the motion brings the axis', () => {
    const moved = [...IDENTITY]
    moved[3] = 7
    expect(axisInJob({ axis: new Float64Array([1, 2, 3, 4, 5, 6]) }, moved)).toEqual([
      [8, 2, 3],
      [11, 5, 6],
    ])
  })
})
