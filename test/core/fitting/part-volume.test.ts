import { expect, it } from 'vitest'
import { DENSITIES_KG_M3, partVolume, solidMass_kg } from '../../../src/core/fitting/part-volume'
import { drain } from '../../../src/core/geometry/kernel'
import { box } from '../../support/solids'

const solid = box([-20, 5, 0], [80, 55, 30])

it('a box weighs its sides times its density, wherever it stands', () => {
  expect(drain(partVolume(solid))).toBeCloseTo(100 * 50 * 30, 6)
  expect(solidMass_kg(150_000, DENSITIES_KG_M3.aluminium)).toBeCloseTo(0.405, 12)
  // A litre of water weighs a kilogram: the units are right.
  expect(solidMass_kg(1e6, 1000)).toBe(1)
})

it('an open mesh has no volume, and one turned inside out has none either', () => {
  const open = { ...solid, indices: solid.indices.slice(3) }
  expect(drain(partVolume(open))).toBe('open')
  const turned = { ...solid, indices: solid.indices.slice().reverse() }
  expect(drain(partVolume(turned))).toBe('inside-out')
})
