import { describe, expect, it } from 'vitest'
import { planHull } from '../../../src/view/glass/plan-glass'
import { closestInPlane, glassScale } from '../../../src/view/glass/section-glass'
import { cutMesh } from '../../../src/view/section/cut-mesh'
import { box, icosphere } from '../../support/solids'

describe('the glass', () => {
  it('takes the largest round scale that fits', () => {
    expect(glassScale(12, 71).ratio).toEqual([3, 2])
    expect(glassScale(12, 60).ratio).toEqual([1, 1])
    // CSS: 96 px to the inch, so full size is 3.78 px to the millimetre.
    expect(glassScale(25.4, 96).pxPerMm).toBeCloseTo(96 / 25.4, 9)
    expect(glassScale(1e6, 10).ratio).toEqual([1, 100])
  })

  it('dimensions the closest pair of a section', () => {
    const plane = { across: 'y', at_mm: 5 } as const
    const lid = cutMesh(box([-40, 0, 22.5], [40, 10, 26]), plane)
    const metal = cutMesh(box([-10, 0, 0], [10, 10, 10]), plane)
    const found = closestInPlane(lid, metal, [0, 16], 60)
    expect(found!.mm).toBeCloseTo(12.5, 6)
    expect(closestInPlane(lid, metal, [500, 16], 60)).toBeNull()
    expect(closestInPlane(lid, [], [0, 16], 60)).toBeNull()
  })

  it('draws the plan of a part by its hull', () => {
    expect(planHull(box([1, 2, 3], [4, 6, 5]))).toHaveLength(4)
    const hull = planHull(icosphere(50, 3))
    for (const [x, y] of hull) expect(Math.hypot(x, y)).toBeGreaterThan(48)
  })
})
