import { expect, test } from 'vitest'
import { addedMass, heelOf, vesselEffect } from '../../../src/core/build-plan/vessel-effect'

const vessel = { mass_kg: 3000, kg_m: 0.9, gm_m: 0.8 }

test('S18: 86 kg at 2.20 m on 3000 kg at 0.90 m raise the centre of gravity by 0.036228 m', () => {
  const made = vesselEffect(vessel, { mass_kg: 86, height_m: 2.2, offCentre_m: 0 })
  expect(made.rise_m).toBeCloseTo(0.036228, 6)
  expect(made.heel_deg).toBeCloseTo(0, 12)
})

test('S19: 100 kg 1.2 m off the centreline heel 3000 kg with GM 0.8 m by 2.8624 degrees, to its own side', () => {
  expect(heelOf(100 * 1.2, 3000, 0.8)).toBeCloseTo(2.8624, 4)
  expect(heelOf(-100 * 1.2, 3000, 0.8)).toBeCloseTo(-2.8624, 4)
})

test('heels by the mass and the GM that she has with the top on, and has no rest where GM is gone', () => {
  const high = { mass_kg: 86, height_m: 2.2, offCentre_m: 0.5 }
  const { rise_m, heel_deg } = vesselEffect(vessel, high)
  expect(heel_deg).toBeCloseTo(heelOf(43, 3086, 0.8 - rise_m), 12)
  expect(heel_deg!).toBeGreaterThan(heelOf(43, 3086, 0.8))
  expect(vesselEffect({ ...vessel, gm_m: 0.03 }, high).heel_deg).toBeNull()
})

test('S20: 460 kg on 3000 kg make her 15.3 % heavier: loaded is judged too; at 15 % and below the least condition is', () => {
  expect(addedMass(3000, 460).share).toBeCloseTo(0.1533, 4)
  expect(addedMass(3000, 460).bothJudged).toBe(true)
  expect(addedMass(3000, 450).bothJudged).toBe(false)
  expect(addedMass(3000, 86).bothJudged).toBe(false)
})
