import { describe, expect, it } from 'vitest'
import { findSplit, pullSearch, undercut } from '../../../src/core/analysis'
import { hemisphere } from '../../../src/core/analysis/directions'
import type { Direction } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { Refused } from '../../../src/core/geometry/trouble'
import { heap, lump } from '../../support/analysis-solids'
import { random } from '../../support/random'
import { dovetailBlock, frustum, moved, openTube, without } from '../../support/solids'

const dot = (a: Direction, b: readonly number[]) => a[0] * b[0]! + a[1] * b[1]! + a[2] * b[2]!
/** The moulded face of the dovetail block: its top and its groove, without ends, sides and sole. */
const groove = without(dovetailBlock(), (f) => f < 4 || (f >= 14 && f < 16) || f >= 16)

describe('pull search', () => {
  it('finds the axis of a tapered wall in any pose, with nothing locked and all the draft there is', () => {
    const wall = without(frustum(120, 100, 60, 96), (f) => f >= 192)
    for (let seed = 1; seed <= 3; seed++) {
      const motion = random(seed).motion(400)
      const axis = [motion[2]!, motion[6]!, motion[10]!]
      const around = random(seed + 30).direction()
      const side = Math.sign(dot(around, axis))
      const { best, complete } = drain(
        pullSearch(moved(wall, motion), {
          around: around.map((c) => side * c) as [number, number, number],
          count: 300,
        }),
      )
      expect(best[0]!.locked_mm2).toBe(0)
      expect(dot(best[0]!.pull, axis)).toBeGreaterThan(1 - 1e-6)
      expect(best[0]!.leastSine).toBeCloseTo(Math.sin(Math.atan((20 * Math.cos(Math.PI / 96)) / 60)), 4)
      expect(complete).toBe(true)
    }
  })

  it('is exact: the best of its directions is the best of all of them, asked one by one', () => {
    for (const mesh of [lump(5, 2), heap(6, 5)]) {
      const count = 60
      const { directions, locked_mm2, boundOnly, best, complete } = drain(pullSearch(mesh, { count }))
      const all = Array.from({ length: count }, (_, i) => {
        const pull: Direction = [directions[3 * i]!, directions[3 * i + 1]!, directions[3 * i + 2]!]
        return drain(undercut(mesh, pull)).summary.area_mm2
      })
      expect(complete).toBe(true)
      all.forEach((area, i) => {
        if (boundOnly[i]) expect(locked_mm2[i]!).toBeLessThanOrEqual(area * (1 + 1e-6))
        else expect(locked_mm2[i]! / area).toBeCloseTo(1, 6)
      })
      const least = Math.min(...all)
      expect(Math.min(...locked_mm2.filter((_, i) => !boundOnly[i]))).toBeCloseTo(least, 3)
      // Refinement may only better it.
      expect(best[0]!.locked_mm2).toBeLessThanOrEqual(least * (1 + 1e-9))
      expect(drain(undercut(mesh, best[0]!.pull)).summary.area_mm2).toBeCloseTo(best[0]!.locked_mm2, 3)
    }
  })

  it('needs few evaluations on a tame face', () => {
    const { evaluated } = drain(pullSearch(without(frustum(1000, 900, 60, 96), (f) => f >= 192 && f < 288)))
    expect(evaluated).toBeLessThanOrEqual(3)
  })

  it('with a mirror plane, only directions in it are tried: a dovetail leaves along its groove', () => {
    const { directions, best } = drain(pullSearch(groove, { symmetricAbout: [0, 1, 0] }))
    for (let i = 1; i < directions.length; i += 3) expect(Math.abs(directions[i]!)).toBeLessThan(1e-12)
    expect(best[0]!.locked_mm2).toBe(0)
    expect(Math.abs(best[0]!.pull[0])).toBeCloseTo(1, 9)
    expect(drain(undercut(groove, [0, 0, 1])).summary.area_mm2).toBeGreaterThan(3000)
  })

  it('the hemisphere is even: each sixth of it by height holds a sixth of the directions, all on one side', () => {
    const around = random(3).direction()
    const directions = hemisphere(around, 600)
    const heights = Array.from({ length: 600 }, (_, i) =>
      dot(around, [directions[3 * i]!, directions[3 * i + 1]!, directions[3 * i + 2]!]),
    )
    expect(Math.min(...heights)).toBeGreaterThanOrEqual(-1e-12)
    for (let k = 0; k < 6; k++) expect(heights.filter((h) => h >= k / 6 && h < (k + 1) / 6).length).toBeGreaterThan(97)
  })

  it('refuses a senseless count', () => {
    expect(() => drain(pullSearch(groove, { count: 0 }))).toThrow(Refused)
  })
})

describe('split', () => {
  it('a lying tube that is locked by half in one piece is freed by two halves, parted along the middle', () => {
    const tube = moved(openTube(25, 300, 90), [0, 0, 1, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1])
    const split = drain(findSplit(tube, { pull: [0, 0, 1], centreline: { normal: [0, 1, 0], offset_mm: 0 } }))
    expect(split.centreline).toBe(true)
    expect(split.lockedWhole_mm2 / (90 * 25 * Math.sin(Math.PI / 90) * 300)).toBeCloseTo(1, 5)
    // Each half leaves square to the plane; the facets astride it are the only ones that lean by a facet's half angle.
    expect(split.locked_mm2).toBeLessThan(0.02 * split.lockedWhole_mm2)
    expect(split.pulls[0][1]).toBeCloseTo(1, 6)
    expect(split.pulls[1][1]).toBeCloseTo(-1, 6)
    expect(split.partingLine_mm).toBeCloseTo(600, 0)
  })

  it('where one piece leaves freely, the split leaves nothing locked either and leans nowhere', () => {
    const wall = without(frustum(120, 100, 60, 96), (f) => f >= 192)
    const split = drain(findSplit(wall, { pull: [0, 0, 1], centreline: { normal: [0, 1, 0], offset_mm: 0 } }))
    expect(split.locked_mm2).toBe(0)
    expect(split.centreline).toBe(true)
    expect(split.pulls).toEqual([
      [0, 0, 1],
      [0, 0, 1],
    ])
  })
})
