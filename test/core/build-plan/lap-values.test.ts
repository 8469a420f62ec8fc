/** Bonding rows of the check values that are no part of the plan's own figures: B03–B05, B10, B12; sources in bonding.ts. */
import { describe, expect, it } from 'vitest'
import {
  activationEnergy_Jmol,
  arrheniusTime,
  golandReissner,
  squeezeStop_m,
  squeezeTime_s,
  unlikeLapFactor,
} from '../../../src/core/build-plan/bonding'

describe('laps', () => {
  it('B03: unlike parts, laminate on metal', () => {
    const lap = { length_mm: 50, stiffness1_Nmm: 15_000 * 5, stiffness2_Nmm: 70_000 * 5, shear_MPa: 500, bond_mm: 2 }
    expect(unlikeLapFactor(lap)).toBeCloseTo(2.675463, 6)
    const like = { ...lap, stiffness2_Nmm: lap.stiffness1_Nmm }
    expect(unlikeLapFactor(like)).toBeCloseTo(2.111276, 6)
  })

  it('B04, B05: edge moment and greatest shear by Goland and Reissner', () => {
    const laminate = {
      force_Nmm: 100,
      length_mm: 50,
      modulus_MPa: 15_000,
      poisson: 0.3,
      thickness_mm: 5,
      shear_MPa: 500,
      bond_mm: 2,
    }
    expect(golandReissner(laminate).k).toBeCloseTo(0.62722, 5)
    expect(golandReissner(laminate).greatest_MPa).toBeCloseTo(6.444681, 4)
    const metal = {
      force_Nmm: 200,
      length_mm: 12.5,
      modulus_MPa: 70_000,
      poisson: 0.33,
      thickness_mm: 1.6,
      shear_MPa: 1000,
      bond_mm: 0.2,
    }
    expect(golandReissner(metal).k).toBeCloseTo(0.652178, 5)
    expect(golandReissner(metal).greatest_MPa).toBeCloseTo(48.39589, 3)
  })

  it('B10: squeezing a strip, and the gap at which a yield stress stops it', () => {
    expect(squeezeTime_s(100, 0.03, 817.2, 0.006, 0.002)).toBeCloseTo(0.367, 3)
    expect(1000 * squeezeStop_m(200, 0.03, 817.2)).toBeCloseTo(0.11, 3)
  })

  it('B12: Arrhenius through 25 and 35 °C', () => {
    const energy = activationEnergy_Jmol(25, 35)
    expect(energy / 1000).toBeCloseTo(52.949, 2)
    expect(arrheniusTime(30, 25, 15, energy)).toBeCloseTo(62.96, 1)
    expect(arrheniusTime(30, 25, 20, energy)).toBeCloseTo(43.19, 1)
    expect(arrheniusTime(30, 25, 30, energy)).toBeCloseTo(21.09, 1)
  })
})
