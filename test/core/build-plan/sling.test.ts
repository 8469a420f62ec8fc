import { expect, test } from 'vitest'
import { LOADED_LEGS, SLOPE_DEG, slingLeg_N } from '../../../src/core/build-plan/sling'

test('S21: 200 kg on four legs at 60 degrees pull 566.2 N in each, and 1132.4 N where but two are loaded', () => {
  expect(slingLeg_N(200, 4, 60)).toBeCloseTo(566.2, 1)
  expect(slingLeg_N(200, LOADED_LEGS, SLOPE_DEG)).toBeCloseTo(1132.4, 1)
  // Plumb legs share the weight; flat ones carry ever more.
  expect(slingLeg_N(200, 2, 90)).toBeCloseTo(980.665, 9)
  expect(slingLeg_N(200, 2, 30)).toBeCloseTo(2 * 980.665, 6)
})
