import { expect, test } from 'vitest'
import { vesselEffect } from '../../../src/core/build-plan/vessel-effect'

const vessel = { mass_kg: 3000, kg_m: 0.9, gm_m: 0.8 }

test('S18: 86 kg at 2.20 m on 3000 kg at 0.90 m raise the centre of gravity by 0.036228 m', () => {
  const made = vesselEffect(vessel, { mass_kg: 86, height_m: 2.2, offCentre_m: 0 })
  expect(made.rise_m).toBeCloseTo(0.036228, 6)
  expect(made.heel_deg).toBe(0)
})

test('S19: 100 kg 1.2 m off the centreline heel 3000 kg with GM 0.8 m by 2.8624 degrees, to its own side', () => {
  expect(vesselEffect(vessel, { mass_kg: 100, height_m: 0.9, offCentre_m: 1.2 }).heel_deg).toBeCloseTo(2.8624, 4)
  expect(vesselEffect(vessel, { mass_kg: 100, height_m: 0.9, offCentre_m: -1.2 }).heel_deg).toBeCloseTo(-2.8624, 4)
})
