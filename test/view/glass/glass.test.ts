import { describe, expect, it } from 'vitest'
import { planHull } from '../../../src/view/glass/plan-glass'
import { closestInPlane, glassScale, sectionView } from '../../../src/view/glass/section-glass'
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

  it('shows of a plane that somebody chose where shell and metal come closest in it, never the certificate of another', () => {
    const face = box([-400, 0, 50], [400, 100, 60])
    const certificate = { at: { shell: [0, 90, 50], frame: [0, 90, 38] }, required_mm: 12, min_mm: 12 }
    const shells = { certificate, underside: { face, solid: face } } as unknown as Parameters<typeof sectionView>[1]
    const metal = box([290, 0, 0], [310, 60, 27.5])
    const view = sectionView({ across: 'y', at_mm: 30, spot: null }, shells, metal, 104)
    expect(view.dimension!.mm).toBeCloseTo(22.5, 6)
    expect(view.middle[0]).toBeGreaterThan(280)
    expect(view.middle[0]).toBeLessThan(320)
    expect(sectionView({ across: 'y', at_mm: 80, spot: null }, shells, metal, 104).dimension).toBeNull()
    expect(sectionView({ across: 'y', at_mm: 90, spot: [0, 90, 50] }, shells, metal, 104).dimension!.mm).toBe(12)
  })

  it('draws the plan of a part by its hull', () => {
    expect(planHull(box([1, 2, 3], [4, 6, 5]))).toHaveLength(4)
    const hull = planHull(icosphere(50, 3))
    for (const [x, y] of hull) expect(Math.hypot(x, y)).toBeGreaterThan(48)
  })
})
