import { expect, it } from 'vitest'
import { basisOf, project } from '../../../src/view/camera/eye'
import { bossRuns, boxRuns, stripRuns } from '../../../src/view/shape/plan-lines'
import { planeUnder } from '../../../src/view/shape/plane-under'

const free = { left: 20, top: 30, width: 800, height: 600 }
const moment = (elevation_deg: number) => {
  const eye = { azimuth_deg: -64, elevation_deg, target: [100, 50, 300] as const, pxPerMm: 0.4 }
  return { eye, basis: basisOf(eye), free, width: 840, height: 660 }
}

it('finds the place of a level plane that is drawn there, and none where one looks along it', () => {
  for (const elevation of [90, 40, 12]) {
    const m = moment(elevation)
    const [x, y] = project(m.eye, m.basis, free, [321, -123, 40])
    const at = planeUnder(m, 40, x, y)!
    expect(at[0]).toBeCloseTo(321, 6)
    expect(at[1]).toBeCloseTo(-123, 6)
  }
  expect(planeUnder(moment(3), 40, 100, 100)).toBeNull()
})

it('draws a box by its twelve edges, a boss on both sides, a strip at half its width', () => {
  const box = boxRuns({ name: 'a', min_mm: [0, 0, 0], max_mm: [1, 2, 3], gap_mm: 9 })
  expect(box.reduce((edges, run) => edges + run.length - 1, 0)).toBe(12)
  const boss = { name: 'b', at_mm: [10, 20], radius_mm: 5, draft_deg: 40 } as const
  expect(bossRuns(boss, 7, true)).toHaveLength(2)
  expect(bossRuns({ ...boss, at_mm: [10, 0] }, 7, true)).toHaveLength(1)
  for (const run of bossRuns(boss, 7, true))
    for (const [x, y, z] of run) {
      expect(Math.hypot(x - 10, Math.abs(y) - 20)).toBeCloseTo(5, 9)
      expect(z).toBe(7)
    }
  const strip = stripRuns(
    [
      [0, 0, 5],
      [100, 0, 6],
      [200, 0, 5],
    ],
    false,
    40,
  )
  expect(strip.map((run) => run.map((p) => p[1]))).toEqual([
    [20, 20, 20],
    [-20, -20, -20],
  ])
})
