import { expect, test } from 'vitest'
import { OVERHEAD_REACH_MM, peopleCheck, STATURE_MM } from '../../../src/core/fitting/people'
import { planHeights } from '../../../src/core/fitting/plan-heights'
import type { PlacedFitting } from '../../../src/core/fitting/types'
import { drain } from '../../../src/core/geometry/kernel'
import { box, gridPlate } from '../../support/solids'

const top = drain(planHeights(gridPlate(1000, 800, 4, 4, 50)))
const rail = (z: number): PlacedFitting =>
  ({
    id: 'rail',
    name: 'rail',
    twin: false,
    mesh: box([0, 0, z], [300, 30, z + 60]),
    seat: { at: [0, 0, z], normal: [0, 0, 1] },
  }) as unknown as PlacedFitting
const check = (deck_mm: number | null, helm_mm: readonly [number, number] | null, z = 0) =>
  peopleCheck({
    people: { deck_mm, helm_mm },
    lowest_mm: -1900,
    underside: top,
    placed: [rail(z)],
    handles: new Set(['rail']),
  })

test('S22: headroom is from the deck to the top over the helm; a man of the 95th percentile wants his height and a little', () => {
  const low = check(-1850, [100, 100])
  expect(low.headroom_mm).toBeCloseTo(1850 + low.headroom_mm! - 1850, 9)
  const z = low.headroom_mm! - 1850
  expect(low.findings.map((f) => f.id)).toContain('fitting.headroom')
  expect(low.findings[0]!.value).toBeCloseTo(1850 + z, 9)
  expect(check(z - STATURE_MM.men[2] - 60, [100, 100]).findings.some((f) => f.id === 'fitting.headroom')).toBe(false)
  // No helm, nobody whose head could touch; outside the top nothing is overhead.
  expect(check(-1850, null).headroom_mm).toBeNull()
  expect(check(-1850, [5000, 0]).headroom_mm).toBeNull()
})

test('S23: a handle is measured at its lowest place, against what a small woman reaches with her fingertips', () => {
  const [small] = OVERHEAD_REACH_MM.women
  const within = check(null, null, -1900 + small)
  expect(within.handles).toEqual([{ id: 'rail', name: 'rail', twin: false, height_mm: small }])
  expect(within.findings).toEqual([])
  const high = check(null, null, -1900 + small + 20)
  expect(high.findings.map((f) => [f.id, f.severity])).toEqual([['fitting.reach.rail', 'note']])
  // What a small woman can just touch is but 56 mm over a tall man's bare head: the two wishes are against each other.
  expect(small - STATURE_MM.men[2]).toBe(56)
})
