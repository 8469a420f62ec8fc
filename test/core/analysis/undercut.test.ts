import { describe, expect, it } from 'vitest'
import { UNDERCUT_CLASS, undercut } from '../../../src/core/analysis'
import { blockedAtMiddle } from '../../../src/core/analysis/plan-bins'
import { facetSides, planView } from '../../../src/core/analysis/plan-view'
import type { Direction } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { facetCount, type Mesh } from '../../../src/core/geometry/mesh'
import { surfaceIndex } from '../../../src/core/geometry/surface-index'
import { heap, lump } from '../../support/analysis-solids'
import { byRays, pointOn } from '../../support/cast-rays'
import { random } from '../../support/random'
import {
  bent,
  box,
  dovetailBlock,
  gridPlate,
  joined,
  lathe,
  looseMushroom,
  moved,
  mushroom,
  openTube,
  torus,
  without,
} from '../../support/solids'

const UP = [0, 0, 1] as const
const along = (motion: readonly number[]): Direction => [motion[2]!, motion[6]!, motion[10]!]
/** Area of a regular n-gon inscribed in a circle of radius r. */
const gon = (n: number, r: number) => (n / 2) * Math.sin((2 * Math.PI) / n) * r * r

describe('undercut on solids known on paper (check values, row 1d)', () => {
  it('G48: the ring in the shadow of a mushroom is found, though it faces the pull: π(50² − 20²)', () => {
    const n = 256
    const { summary, undercutClass } = drain(undercut(mushroom(n), UP))
    const ring = gon(n, 50) - gon(n, 20)
    expect(summary.blocked_mm2).toBeCloseTo(ring, 3)
    expect(Math.abs(summary.blocked_mm2 / 6597.344573 - 1)).toBeLessThan(2e-4)
    // The underside of the cap and the sole of the base face away.
    expect(summary.facingAway_mm2).toBeCloseTo(ring + gon(n, 100), 0)
    expect(summary.bound_mm2 / summary.blocked_mm2).toBeLessThan(1e-3)
    expect(undercutClass.includes(UNDERCUT_CLASS.blocked)).toBe(true)
    const under = summary.regions.find((r) => r.cause === 'blocked')!
    expect(under.area_mm2).toBeCloseTo(ring, 1)
    expect(Math.abs(under.depth_mm - 30)).toBeLessThan(0.01)
    expect(under.ownPull).toEqual([0, 0, 1])
    // From the base's top to the underside of the cap.
    expect(under.meetsAfter_mm).toBeCloseTo(30, 4)
    expect(summary.regions.find((r) => r.cause === 'facing-away')!.meetsAfter_mm).toBeNull()
  })

  it('a test of normals alone misses it: the same facets all face the pull', () => {
    const view = drain(planView(mushroom(64), UP))
    const side = drain(facetSides(view))
    const result = drain(undercut(mushroom(64), UP))
    result.undercutClass.forEach((c, f) => {
      if (c === UNDERCUT_CLASS.blocked) expect(side[f]).toBe(1)
    })
  })

  it('a plate of two facets under the mushroom is cut right to far below 0.1 %, and the certain bound says so', () => {
    const n = 64
    const plate = bent(gridPlate(240, 240, 1, 1, 10), (x, y, z) => [x - 120, y - 120, z])
    const part = joined(
      plate,
      moved(
        lathe(
          [
            [50, 40],
            [50, 50],
          ],
          n,
        ),
        [1, 0, 0, 7.3, 0, 1, 0, -3.1, 0, 0, 1, 0, 0, 0, 0, 1],
      ),
    )
    for (const motion of [null, random(11).motion(400)]) {
      const { summary } = drain(undercut(motion ? moved(part, motion) : part, motion ? along(motion) : UP))
      expect(Math.abs(summary.blocked_mm2 / gon(n, 50) - 1)).toBeLessThan(1e-5)
      expect(summary.bound_mm2 / summary.blocked_mm2).toBeLessThan(1e-3)
      expect(Math.abs(summary.blocked_mm2 - gon(n, 50))).toBeLessThan(summary.bound_mm2)
    }
  })

  it('a facet that passes through a large one makes a border too', () => {
    // A ramp through a plate: it rises from 10 below to 10 above across 40 mm; only its upper half covers.
    const plate = bent(gridPlate(200, 200, 1, 1), (x, y, z) => [x - 100, y - 100, z])
    const ramp = bent(gridPlate(40, 60, 1, 1), (x, y) => [x - 20, y - 30, (x - 20) / 2])
    const { summary } = drain(undercut(joined(plate, ramp), UP))
    // Plate under the upper half 20 x 60; and the ramp's lower half stands under the plate, on a slope of 1 : 2.
    const slope = Math.sqrt(1 + 1 / 4)
    expect(summary.blocked_mm2).toBeCloseTo(1200 + 1200 * slope, 1)
  })

  it('G47: a dovetail groove 10 deep, walls leaning 60 degrees, hides h cot α = 5.7735 on each side', () => {
    const { summary } = drain(undercut(dovetailBlock(100, 10, 30, 60), UP))
    expect(Math.abs(summary.blocked_mm2 / (2 * 100) - 5.773503)).toBeLessThan(1e-4)
    const groove = summary.regions.find((r) => r.cause === 'both')!
    expect(Math.abs(groove.depth_mm - 5.773503)).toBeLessThan(1e-5)
    // Two walls leaning towards each other and the floor: no one direction frees all.
    expect(groove.ownPull).toBeNull()
    const walls = (2 * 100 * 10) / Math.sin(Math.PI / 3)
    expect(summary.facingAway_mm2).toBeCloseTo(walls + 100 * 100, 1)
  })

  it('G45: a sphere parted 20 below its equator has 2π R c of undercut', () => {
    const low = -20
    const from = Math.asin(low / 100)
    const rings = 240
    const zone = lathe(
      Array.from({ length: rings + 1 }, (_, i) => {
        const t = from + ((Math.PI / 2 - from) * i) / rings
        return [i === rings ? 0 : 100 * Math.cos(t), 100 * Math.sin(t)] as const
      }),
      256,
      { bottom: true },
    )
    const { summary } = drain(undercut(zone, UP))
    // The ring of facets that straddles the equator goes wholly to one side.
    expect(Math.abs(summary.area_mm2 / 12566.3706 - 1)).toBeLessThan(0.03)
    // What hangs below is freed by moving to the equator's edge: R − √(R² − c²).
    expect(summary.depth_mm).toBeCloseTo(100 - Math.sqrt(100 * 100 - 20 * 20), 1)
    expect(summary.regionCount).toBe(1)
  })

  it('G46: half of a lying tube is undercut, and it is locked one radius deep', () => {
    const lying = [0, 0, 1, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 1]
    const tube = moved(openTube(25, 300, 90), lying)
    const { summary } = drain(undercut(tube, UP))
    const area = 90 * 2 * 25 * Math.sin(Math.PI / 90) * 300
    expect(Math.abs(summary.facingAway_mm2 / area - 0.5)).toBeLessThan(1e-6)
    expect(summary.depth_mm).toBeGreaterThan(24.9)
    expect(summary.depth_mm).toBeLessThan(25.0001)
    expect(summary.regions[0]!.ownPull).not.toBeNull()
    expect(summary.regions[0]!.ownPull![2]).toBeLessThan(-0.99)
  })

  it('says whether a loose piece would free a region, or would be stopped by the part itself', () => {
    // Pulled up, the ring under the cap is blocked and its own pull is up: the cap stops it. The cap's underside leaves downwards,
    // but the base stands in its way.
    const { regions } = drain(undercut(mushroom(64), UP)).summary
    expect(regions.filter((r) => r.area_mm2 < 7000).map((r) => r.looseFrees)).toEqual([false, false])
    expect(regions.find((r) => r.area_mm2 > 30_000)!.looseFrees).toBe(true)
    // The roof of a slot that is open to one side leaves that way.
    const side = moved(dovetailBlock(), [0, 1, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 1])
    const slot = drain(undercut(side, UP)).summary.regions
    expect(slot.some((r) => r.ownPull !== null && r.looseFrees === true)).toBe(true)
  })

  it('a shape that can leave has none: boxes open below, domes, frusta, in any pose', () => {
    const dome = lathe(
      Array.from({ length: 41 }, (_, i) => [i === 40 ? 0 : 1000 * (1 - i / 40), 60 * Math.sqrt(i / 40)] as const),
      96,
      { bottom: true },
    )
    const open = without(box([0, 0, 0], [1500, 900, 60]), (f) => f < 2)
    for (let seed = 1; seed <= 6; seed++) {
      const motion = random(seed).motion(1500)
      for (const part of [dome, open]) {
        const { summary, undercutClass } = drain(undercut(moved(part, motion), along(motion)))
        expect(summary.area_mm2).toBe(0)
        expect(summary.depth_mm).toBe(0)
        expect(summary.regions).toEqual([])
        expect(undercutClass.some((c) => c !== 0)).toBe(false)
      }
    }
  })

  it('what touches is not in the way: two plates on each other', () => {
    const plate = gridPlate(100, 100, 3, 3, 5)
    expect(drain(undercut(joined(plate, plate), UP)).summary.area_mm2).toBe(0)
    const apart = joined(
      plate,
      bent(plate, (x, y, z) => [x, y, z + 0.01]),
    )
    expect(drain(undercut(apart, UP)).summary.area_mm2).toBeCloseTo(10_000, 0)
  })
})

describe('undercut against a brute-force caster of rays (three-mesh-bvh), within 0.2 %', () => {
  const parts: [string, Mesh, Direction][] = [
    ...[1, 2, 3].map((seed): [string, Mesh, Direction] => [`lump ${seed}`, lump(seed), random(seed + 50).direction()]),
    ...[4, 5].map((seed): [string, Mesh, Direction] => [`heap ${seed}`, heap(seed), random(seed + 50).direction()]),
    ['leaning torus', torus(120, 30, 120, 60), [0.6, 0, 0.8]],
    ['leaning mushroom', looseMushroom(48), [0.28, 0.0, 0.96]],
  ]
  it.each(parts)('%s', (_, mesh, pull) => {
    const { summary } = drain(undercut(mesh, pull))
    const { away, blocked } = byRays(mesh, pull, 80_000)
    expect(Math.abs(summary.facingAway_mm2 / away - 1)).toBeLessThan(1e-4)
    expect(Math.abs(summary.area_mm2 / (away + blocked) - 1)).toBeLessThan(0.002)
    if (blocked > 0.02 * away) expect(Math.abs(summary.blocked_mm2 / blocked - 1)).toBeLessThan(0.01)
  })

  it('middles alone: the bins give facet by facet what the rays give', () => {
    for (const mesh of [lump(7), heap(8, 30), torus(120, 50, 60, 40)]) {
      const pull = random(facetCount(mesh)).direction()
      const view = drain(planView(mesh, pull))
      const side = drain(facetSides(view))
      const blocked = drain(blockedAtMiddle(view, side))
      const index = surfaceIndex(mesh)
      let different = 0
      for (let f = 0; f < facetCount(mesh); f++) {
        if (side[f] !== 1) continue
        const p = pointOn(mesh, f, 1 / 3, 1 / 3)
        const hit = index.firstHit([p[0] + 0.01 * pull[0], p[1] + 0.01 * pull[1], p[2] + 0.01 * pull[2]], pull)
        if ((hit !== null) !== (blocked[f] === 1)) different++
      }
      expect(different).toBeLessThanOrEqual(facetCount(mesh) * 2e-4)
    }
  })
})

describe('laws', () => {
  it('turning mesh and pull together changes nothing', () => {
    for (const part of [mushroom(48), dovetailBlock(), heap(2)]) {
      const straight = drain(undercut(part, UP)).summary
      for (let seed = 1; seed <= 4; seed++) {
        const motion = random(seed).motion(300)
        const turned = drain(undercut(moved(part, motion), along(motion))).summary
        expect(Math.abs(turned.blocked_mm2 / straight.blocked_mm2 - 1)).toBeLessThan(1e-4)
        expect(Math.abs(turned.facingAway_mm2 / straight.facingAway_mm2 - 1)).toBeLessThan(1e-5)
        expect(turned.regionCount).toBe(straight.regionCount)
        expect(Math.abs(turned.depth_mm - straight.depth_mm)).toBeLessThan(0.05 * (1 + straight.depth_mm))
      }
    }
  })

  it('scaling by s scales areas by s² and depths by s', () => {
    const once = drain(undercut(mushroom(48), UP)).summary
    const twice = drain(
      undercut(
        bent(mushroom(48), (x, y, z) => [2 * x, 2 * y, 2 * z]),
        UP,
      ),
    ).summary
    expect(twice.blocked_mm2 / once.blocked_mm2).toBeCloseTo(4, 5)
    expect(twice.depth_mm / once.depth_mm).toBeCloseTo(2, 5)
  })

  it('mirroring changes nothing', () => {
    const part = heap(3)
    const image = moved(part, [1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1])
    const a = drain(undercut(part, UP)).summary
    const b = drain(undercut(image, UP)).summary
    expect(b.blocked_mm2 / a.blocked_mm2).toBeCloseTo(1, 6)
    expect(b.facingAway_mm2 / a.facingAway_mm2).toBeCloseTo(1, 6)
  })

  it('finer subdivision of the same faces gives the same area, however it is found', () => {
    // 2 facets are cut along contours; 320,000 are judged at their middles: two methods.
    const cap = moved(mushroom(32), [1, 0, 0, 3, 0, 1, 0, 5, 0, 0, 1, 0, 0, 0, 0, 1])
    const under = (cells: number) =>
      drain(
        undercut(
          joined(
            bent(gridPlate(300, 300, cells, cells, -5), (x, y, z) => [x - 150, y - 150, z]),
            cap,
          ),
          UP,
        ),
      ).summary
    const coarse = under(1)
    const fine = under(400)
    expect(Math.abs(fine.area_mm2 / coarse.area_mm2 - 1)).toBeLessThan(1e-3)
    expect(Math.abs(fine.area_mm2 - coarse.area_mm2)).toBeLessThan(4 * fine.estimate_mm2 + fine.bound_mm2)
  })
})
