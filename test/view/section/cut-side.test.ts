import { describe, expect, it } from 'vitest'
import { basisOf } from '../../../src/view/camera/eye'
import { isKept, makeCut, shareBeyond, turnCut } from '../../../src/view/section/cut-side'
import { gridPlate } from '../../support/solids'

const from = (azimuth_deg: number, elevation_deg = 20) => basisOf({ azimuth_deg, elevation_deg })

describe('the side that is cut away', () => {
  const section = { across: 'y', at_mm: -200 } as const

  it('is the one towards the eye, and follows it', () => {
    const cut = makeCut(section, from(-64), 0.6)
    expect([isKept(cut, [0, -300, 0]), isKept(cut, [0, 0, 0])]).toEqual([false, true])
    expect(turnCut(cut, from(-64))).toBe(false)
    expect(turnCut(cut, from(80))).toBe(true)
    expect([isKept(cut, [0, -300, 0]), isKept(cut, [0, 0, 0])]).toEqual([true, false])
    expect(cut.taken.constant).toBe(-cut.kept.constant)
  })

  it('stays as it was when one looks along the plane', () => {
    const cut = makeCut(section, from(-64), 0.6)
    expect(turnCut(cut, from(1))).toBe(false)
    expect(isKept(cut, [0, 0, 0])).toBe(true)
  })

  it('never leaves a mere slice of the part', () => {
    const cut = makeCut(section, from(90), 0.9)
    expect(isKept(cut, [0, 0, 0])).toBe(true)
  })

  it('keeps everything without a cut; a plate is halved in the middle', () => {
    expect(isKept(null, [0, -300, 0])).toBe(true)
    const plate = gridPlate(100, 100, 10, 10)
    const ys = [...plate.positions].filter((_, i) => i % 3 === 1)
    const middle = (Math.min(...ys) + Math.max(...ys)) / 2
    expect(shareBeyond(plate, { across: 'y', at_mm: middle + 0.1 })).toBeCloseTo(5 / 11, 6)
  })
})
