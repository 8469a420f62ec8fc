import { describe, expect, it } from 'vitest'
import { DRAFT_CLASS, draft, gapOpened_mm } from '../../../src/core/analysis'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount } from '../../../src/core/geometry/mesh'
import { Refused } from '../../../src/core/geometry/trouble'
import { random } from '../../support/random'
import { bent, box, frustum, icosphere, lathe, moved, torus, without } from '../../support/solids'

const UP = [0, 0, 1] as const
const RAD = Math.PI / 180

describe('draft on solids known on paper (check values, row 1d: draft = asin(n · pull))', () => {
  it('G40: every lateral facet of a frustum of radii 100, 80 and height 200 has 5.7106 degrees', () => {
    const cone = without(frustum(100, 80, 200, 256), (f) => f >= 512)
    const { field, summary } = drain(draft(cone, UP, 2))
    const expected = Math.atan(20 / 200) / RAD
    expect(expected).toBeCloseTo(5.710593, 6)
    for (const value of field.values) expect(Math.abs(value - expected)).toBeLessThan(0.01)
    expect(Math.abs(summary.min_deg - expected)).toBeLessThan(0.01)
    expect(summary.negative_mm2).toBe(0)
    expect(summary.low_mm2).toBe(0)
  })

  it('G43: the share below 3 degrees of icospheres, facet by facet, is the published one, and the true share lies within what is called unsure', () => {
    const published = [0.2, 0.10447, 0.05291, 0.04996, 0.06223, 0.05048]
    published.forEach((share, levels) => {
      const up = drain(draft(icosphere(100, levels), UP, 3)).summary
      const down = drain(draft(icosphere(100, levels), [0, 0, -1], 3)).summary
      const area = up.negative_mm2 + up.low_mm2 + up.good_mm2
      // |draft| < 3 seen from both sides; walls at exactly 0 are low from both, and negative from neither.
      const walls = area - up.negative_mm2 - down.negative_mm2
      expect(Math.abs((up.low_mm2 + down.low_mm2 - walls) / area - share)).toBeLessThan(2e-5)
      if (levels < 2) return // neighbours of an icosahedron differ by 42 degrees: by its own word it has edges, and is no sphere
      expect(Math.abs(up.low_mm2 / (area / 2) - Math.sin(3 * RAD)) * (area / 2)).toBeLessThanOrEqual(
        up.unsureAtZero_mm2 + up.unsureAtLimit_mm2,
      )
    })
  })

  it('G41: on a fine sphere the share of the upper half in [0, θ) is sin θ', () => {
    const sphere = lathe(
      Array.from({ length: 721 }, (_, i) => {
        const t = (Math.PI * i) / 720
        return [i === 0 || i === 720 ? 0 : 100 * Math.sin(t), -100 * Math.cos(t)] as const
      }),
      64,
    )
    for (const deg of [1, 2, 3, 5, 7]) {
      const { summary } = drain(draft(sphere, UP, deg))
      const half = (summary.negative_mm2 + summary.low_mm2 + summary.good_mm2) / 2
      expect(Math.abs(summary.low_mm2 / half - Math.sin(deg * RAD))).toBeLessThan(2e-4)
    }
  })

  it('G42: the upper half of a torus has 2θ/π of its area in [0, θ), whatever its radii', () => {
    for (const [R, r] of [
      [300, 25],
      [120, 60],
    ] as const) {
      const { summary } = drain(draft(torus(R, r, 96, 720), UP, 3))
      const half = (summary.negative_mm2 + summary.low_mm2 + summary.good_mm2) / 2
      expect(Math.abs(summary.low_mm2 / half - 0.0333333)).toBeLessThan(2e-4)
    }
  })

  it('G44: a shallow dome (R 2500, half chord 1000) has its least draft at the rim: 66.42 degrees', () => {
    const rings = 400
    const dome = lathe(
      Array.from({ length: rings + 1 }, (_, i) => {
        const a = 1000 * (1 - i / rings)
        return [i === rings ? 0 : a, Math.sqrt(2500 * 2500 - a * a)] as const
      }),
      128,
      { bottom: true },
    )
    const { summary } = drain(draft(dome, UP, 2))
    // The outermost facets lean as the sphere does at their own middle, half a ring inside.
    const atMiddle = 90 - Math.asin((1000 - 500 / rings) / 2500) / RAD
    expect(Math.abs(summary.min_deg - atMiddle)).toBeLessThan(0.01)
    expect(Math.abs(summary.min_deg - 66.4218)).toBeLessThan(0.05)
    expect(Math.hypot(summary.minAt[0], summary.minAt[1])).toBeGreaterThan(995)
  })
})

describe('travel', () => {
  it('G49: a pull of 10 at 1 degree opens 0.174524, at 3 degrees 0.523360', () => {
    expect(gapOpened_mm(10, 1)).toBeCloseTo(0.174524, 6)
    expect(gapOpened_mm(10, 3)).toBeCloseTo(0.52336, 6)
  })
})

describe('classes are decided by dot products with rounding allowed for', () => {
  it('walls of a box are neither negative nor good, in any pose', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const motion = random(seed).motion(2000)
      const turned = moved(box([0, 0, 0], [1500, 900, 60]), motion)
      const { summary, draftClass } = drain(draft(turned, [motion[2]!, motion[6]!, motion[10]!], 2))
      expect(summary.negative_mm2 / 1_350_000).toBeCloseTo(1, 6)
      expect(summary.low_mm2 / (2 * 60 * 2400)).toBeCloseTo(1, 5)
      expect(draftClass.filter((c) => c === DRAFT_CLASS.low).length).toBe(8)
    }
  })

  it('a wall made at exactly the asked draft is good, one a tenth of a degree steeper is low', () => {
    const wall = (deg: number) => frustum(1000 + 60 * Math.tan(deg * RAD), 1000, 60, 96)
    // An inscribed prism's facets lean a little more than the cone's meridian: asked of them exactly.
    const facet = (deg: number) => Math.atan(Math.tan(deg * RAD) * Math.cos(Math.PI / 96)) / RAD
    expect(drain(draft(wall(3), UP, facet(3))).summary.low_mm2).toBe(0)
    expect(drain(draft(wall(2.9), UP, facet(3))).summary.low_mm2).toBeGreaterThan(300_000)
  })

  it('facets without area get NaN and are counted', () => {
    const flat = bent(box([0, 0, 0], [10, 10, 10]), (x, y, z) => [x, y, z === 10 && x === 10 && y === 10 ? z : z])
    const indices = flat.indices.slice()
    indices[1] = indices[0]!
    const { field, withoutArea, draftClass } = drain(draft({ ...flat, indices }, UP, 2))
    expect(withoutArea).toBe(1)
    expect(field.values[0]).toBeNaN()
    expect(draftClass[0]).toBe(DRAFT_CLASS.none)
  })

  it('a pull without length is refused in one sentence', () => {
    expect(() => drain(draft(box([0, 0, 0], [1, 1, 1]), [0, 0, 0], 2))).toThrow(Refused)
  })
})

describe('laws', () => {
  it('turning mesh and pull together changes nothing', () => {
    const part = torus(300, 40, 48, 24)
    const straight = drain(draft(part, UP, 20))
    for (let seed = 1; seed <= 5; seed++) {
      const motion = random(seed).motion(500)
      const turned = drain(draft(moved(part, motion), [motion[2]!, motion[6]!, motion[10]!], 20))
      for (let f = 0; f < facetCount(part); f++)
        expect(Math.abs(turned.field.values[f]! - straight.field.values[f]!)).toBeLessThan(0.02)
      for (const key of ['negative_mm2', 'low_mm2', 'good_mm2'] as const)
        expect(turned.summary[key] / straight.summary[key]).toBeCloseTo(1, 5)
    }
  })

  it('scaling by s scales areas by s² and leaves angles alone', () => {
    const part = torus(300, 40, 48, 24)
    const once = drain(draft(part, UP, 20)).summary
    const thrice = drain(
      draft(
        bent(part, (x, y, z) => [3 * x, 3 * y, 3 * z]),
        UP,
        20,
      ),
    ).summary
    expect(thrice.min_deg).toBeCloseTo(once.min_deg, 4)
    expect(thrice.low_mm2 / once.low_mm2).toBeCloseTo(9, 4)
    expect(thrice.good_mm2 / once.good_mm2).toBeCloseTo(9, 4)
  })
})
