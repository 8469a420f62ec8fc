import { describe, expect, it } from 'vitest'
import { fastenerPlaces } from '../../../src/core/frame'

const straight = [
  [0, -500, 40],
  [0, 0, 40],
  [0, 500, 40],
] as const
const asked = { pitch_mm: 200, from_mm: null, diameter_mm: 6 }
const round = (v: readonly number[]) => v.map((x) => Math.round(x * 1e6) / 1e6 + 0)

describe('fasteners at a pitch', () => {
  it('stand evenly on a straight tube, with like ends and the crest above them', () => {
    const places = fastenerPlaces(straight, false, asked)
    // 1000 long, 18 kept free at each end: five, 800 from first to last.
    expect(places.map((p) => round(p.at))).toEqual([400, 200, 0, -200, -400].map((y) => [0, y, 40]))
    for (const { up } of places) expect(up).toEqual([0, 0, 1])
  })

  it('begin where they are told to, at the port end of an athwart tube, whichever way it was fitted', () => {
    for (const axis of [straight, [...straight].reverse()])
      expect(fastenerPlaces(axis, false, { ...asked, from_mm: 50 }).map((p) => round(p.at)[1])).toEqual([
        450, 250, 50, -150, -350,
      ])
  })

  it('begin at the forward end of any other', () => {
    const rising = [
      [-1000, 0, 0],
      [0, 0, 1000],
    ] as const
    const [first] = fastenerPlaces(rising, false, { ...asked, from_mm: 100 })
    const s = Math.SQRT1_2
    expect(round(first!.at)).toEqual(round([-100 * s, 0, 1000 - 100 * s]))
    expect(round(first!.up!)).toEqual(round([-s, 0, s]))
  })

  it('go round a ring evenly, never further apart than asked, from the foremost station to port', () => {
    const n = 720
    const ring = Array.from({ length: n }, (_, i) => {
      const turn = (2 * Math.PI * (i + 100)) / n
      return [1000 * Math.cos(turn), -600 * Math.sin(turn), 0] as const
    })
    const places = fastenerPlaces(ring, true, { ...asked, pitch_mm: 300 })
    const gaps = places.map((p, i) => {
      const q = places[(i + 1) % places.length]!
      return Math.hypot(q.at[0] - p.at[0], q.at[1] - p.at[1])
    })
    expect(Math.max(...gaps)).toBeLessThanOrEqual(300)
    expect(Math.min(...gaps)).toBeGreaterThan(250)
    expect(places[0]!.at[0]).toBeCloseTo(1000, 0)
    expect(places[1]!.at[1]).toBeGreaterThan(0)
  })

  it('have no crest to stand on where the tube is steep, and no place on a tube that is too short', () => {
    const leg = [
      [0, 0, 0],
      [20, 0, 900],
    ] as const
    expect(fastenerPlaces(leg, false, asked).every((p) => p.up === null)).toBe(true)
    expect(
      fastenerPlaces(
        [
          [0, 0, 0],
          [30, 0, 0],
        ],
        false,
        asked,
      ),
    ).toEqual([])
  })
})
