import { describe, expect, it } from 'vitest'
import type { BuildResult, DrillMark } from '../../../../src/core/build-plan'
import { drillMarksCsv } from '../../../../src/core/release/writers/csv'

const mark = (name: string, diameter_mm: number | null, at: readonly [number, number, number]): DrillMark => ({
  name,
  diameter_mm,
  at,
  u_mm: at[0],
  v_mm: at[1],
  toCentreline_mm: Math.abs(at[1]),
  toTrim_mm: 120.25,
  alongTrim_mm: 300,
})

const build = {
  templates: {
    trims: [],
    drills: [{ fitting: 'lamp', twin: true, on: 'topside', marks: [mark('centre', null, [1, -2, 3])] }],
    tubes: [mark('cross tube, forward hole 2', 6.5, [100, 50, 7])],
  },
} as unknown as BuildResult

describe('marks that are drilled by', () => {
  it('stand in the list, fittings first, each with its measures', () => {
    expect(drillMarksCsv(build).split('\r\n').slice(1, 3)).toEqual([
      'topside,lamp,yes,centre,,1.00,-2.00,3.00,2.0,120.3,300.0',
      'underside,frame,no,"cross tube, forward hole 2",6.50,100.00,50.00,7.00,50.0,120.3,300.0',
    ])
  })
})
