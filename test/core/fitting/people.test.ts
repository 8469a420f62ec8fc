import { expect, test } from 'vitest'
import { bodySizes, EYE_MM, OVERHEAD_REACH_MM, STATURE_MM } from '../../../src/core/fitting/body-sizes'
import { eyePlace, peopleCheck } from '../../../src/core/fitting/people'
import { planHeights } from '../../../src/core/fitting/plan-heights'
import { type Helmsman, PEOPLE_DEFAULTS } from '../../../src/core/fitting/settings'
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
const check = (
  deck_mm: number | null,
  helm_mm: readonly [number, number] | null,
  z = 0,
  helmsman: Helmsman = 'woman-50',
) =>
  peopleCheck({
    people: { ...PEOPLE_DEFAULTS, deck_mm, helm_mm, helmsman },
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
  expect(within.handles).toEqual([{ id: 'rail', name: 'rail', twin: false, height_mm: small, fromHelm: null }])
  expect(within.findings).toEqual([])
  const high = check(null, null, -1900 + small + 20)
  expect(high.findings.map((f) => [f.id, f.severity])).toEqual([['fitting.reach.rail', 'note']])
  // What a small woman can just touch is but 56 mm over a tall man's bare head: the two wishes are against each other.
  expect(small - STATURE_MM.men[2]).toBe(56)
})

test('S22, S23: across, the arm is the reach overhead less the shoulder; a handle is held against it from the shoulder', () => {
  const arm = bodySizes('woman-5').arm_mm
  expect(arm).toBe(1926 - 1242)
  const deck = -1900
  const shoulder = deck + 1242
  // At the height of the shoulder, so far ahead that a small woman just touches it with her fingertips, and does not.
  const at = (ahead: number) => check(deck, [-ahead, 0], shoulder, 'woman-5').handles[0]!.fromHelm!
  expect(at(arm - 0.001).shoulder_mm).toBeCloseTo(arm - 0.001, 6)
  expect(at(arm - 0.001).reachedBy).toContain('woman-5')
  expect(at(arm + 0.001).reachedBy).not.toContain('woman-5')
  expect(at(arm + 0.001).reachedBy).toContain('man-95')
  expect(at(arm).across_mm).toBeCloseTo(arm, 6)
  // Up and across are one distance: by Pythagoras.
  const high = check(deck, [-400, -300], shoulder + 1200, 'woman-5').handles[0]!.fromHelm!
  expect(high.shoulder_mm).toBeCloseTo(1300, 6)
  expect(high.across_mm).toBeCloseTo(500, 6)
  expect(high.reachedBy).toEqual([])
})

test('at the helm one handle within everybody’s reach is enough; where there is none, the nearest is named', () => {
  const finding = (helm: readonly [number, number]) =>
    check(-1900, helm, -600).findings.find((f) => f.id === 'fitting.helm-reach')
  expect(finding([-200, 0])).toBeUndefined()
  expect(finding([-2000, 0])?.message).toContain('0 of the six sizes')
})

test('S22, S24: eyes are of one set of data; a typed height goes before them', () => {
  const people = { ...PEOPLE_DEFAULTS, helm_mm: [10, -20] as const, helmsman: 'man-95' as const }
  const top = { min: [-1000, -800, -10], max: [1000, 800, 60] }
  expect(eyePlace(people, -1900, top)).toEqual([10, -20, -1900 + EYE_MM.men[2]])
  expect(eyePlace({ ...people, eye_mm: 1600 }, -1700, top)).toEqual([10, -20, -100])
  // Nobody says where the helm is: under the after part of the top, not on the lowest metal.
  expect(eyePlace({ ...people, helm_mm: null }, -1900, top)).toEqual([-400, 0, 60 - 330])
  // S24: ANSUR II has 1525 mm where a guide that quotes MIL-STD-1472G has 1612 for the same woman: the sets are not mixed.
  expect(STATURE_MM.women[0]).toBe(1525)
  expect(STATURE_MM.men[2]).toBe(1870)
})
