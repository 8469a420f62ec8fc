/** Laminate, mass and bond against worked examples; ids and sources are those of the check values (sections 6 and 8). */
import { describe, expect, it } from 'vitest'
import {
  adiabaticRise_K,
  bagsFor,
  bondVolume_l,
  pressure_Pa,
  thermalMismatch_mm,
  triangularBeadLeg_mm,
  volkersen,
  workingTime_min,
} from '../../../src/core/build-plan/bonding'
import {
  acrossModulus,
  alongModulus,
  fibreMassFraction,
  fibreVolumeFraction,
  laminateDensity,
  matModulus,
  plateStiffness_Nm,
  plyThickness_mm,
  resinOf_kgm2,
  sandwich,
  stackFigures,
  stripDeflection_mm,
  transverseModulus,
} from '../../../src/core/build-plan/laminate'
import { centreOfGravity } from '../../../src/core/build-plan/mass'

const GLASS = 2.56
const RESIN = 1.2

describe('laminate', () => {
  it.each([
    [0.3, 0.167286],
    [0.45, 0.277207],
    [0.48, 0.302013],
    [0.65, 0.465394],
    [0.75, 0.584416],
  ])('L01: mass fraction %s is volume fraction %s, and back (L02)', (w, vf) => {
    expect(fibreVolumeFraction(w, GLASS, RESIN)).toBeCloseTo(vf, 6)
    expect(fibreMassFraction(fibreVolumeFraction(w, GLASS, RESIN), GLASS, RESIN)).toBeCloseTo(w, 12)
  })

  it('L03: density', () => {
    expect(laminateDensity(fibreVolumeFraction(0.3, GLASS, RESIN), GLASS, RESIN)).toBeCloseTo(1.427509, 6)
    expect(laminateDensity(fibreVolumeFraction(0.65, GLASS, RESIN), GLASS, RESIN)).toBeCloseTo(1.832936, 6)
  })

  it.each([
    [450, 0.3, 1.050781],
    [600, 0.45, 0.845486],
    [800, 0.65, 0.671474],
  ])('L04: a ply of %s g/m² at %s is %s mm thick', (areal, w, t) => {
    expect(plyThickness_mm(areal, fibreVolumeFraction(w, GLASS, RESIN), GLASS)).toBeCloseTo(t, 6)
  })

  it.each([0.3, 0.34, 0.45, 0.48, 0.55, 0.6, 0.65, 0.7])('L05: the small-craft form says the same at %s', (w) => {
    const perKg = plyThickness_mm(1000, fibreVolumeFraction(w, GLASS, RESIN), GLASS)
    expect(perKg).toBeCloseTo((2.56 / w - 1.36) / 3.072, 9)
  })

  it('L06, L07: resin to a weight of glass', () => {
    expect(resinOf_kgm2(450, 0.3)).toBeCloseTo(1.05, 9)
    expect(resinOf_kgm2(800, 0.65)).toBeCloseTo(0.430769, 6)
    expect(resinOf_kgm2(6000, 0.3)).toBeCloseTo(14, 9)
  })

  it('L22: mass of a part, layer by layer', () => {
    const solid = stackFigures(
      [
        { areal_gm2: 450, massFraction: 0.3, layers: 1 },
        { areal_gm2: 800, massFraction: 0.65, layers: 2 },
      ],
      GLASS,
      RESIN,
    )
    const gelcoat = 5 * 0.6 * 1.25
    const core = 5 * 0.015 * 80
    expect(gelcoat + 5 * (solid.glass_kgm2 + solid.resin_kgm2) + core).toBeCloseTo(29.5577, 4)
  })

  it('L12–L14: moduli', () => {
    expect(alongModulus(0.5, 72, 3.4)).toBeCloseTo(37.7, 9)
    expect(acrossModulus(0.5, 72, 3.4)).toBeCloseTo(6.493369, 6)
    expect(transverseModulus(0.5, 72, 3.4)).toBeCloseTo(11.262022, 6)
    const vf = fibreVolumeFraction(0.3, GLASS, RESIN)
    expect(matModulus(alongModulus(vf, 72, 3.4), acrossModulus(vf, 72, 3.4))).toBeCloseTo(8.106355, 5)
  })

  it('L15, L18, L19: plate, sandwich, and how far it gives', () => {
    expect(plateStiffness_Nm(9, 6, 0.3)).toBeCloseTo(178.02198, 5)
    const panel = sandwich(1.5, 15, 14, 20)
    expect(panel.bending_Nm).toBeCloseTo(2858.625, 6)
    expect(panel.shear_Nm).toBeCloseTo(363_000, 6)
    expect(stripDeflection_mm(2000, 0.8, panel)).toBeCloseTo(4.1722, 4)
  })

  it('L23: centre of gravity', () => {
    const { mass_kg, at } = centreOfGravity([
      { mass_kg: 62, at: [0, 0, 2.1] },
      { mass_kg: 4.5, at: [0.9, 0, 2.25] },
      { mass_kg: 18, at: [-0.3, 0, 2.2] },
      { mass_kg: 1.2, at: [-0.8, 0.5, 2.35] },
    ])
    expect(mass_kg).toBeCloseTo(85.7, 9)
    expect(at[0]).toBeCloseTo(-0.026954, 6)
    expect(at[1]).toBeCloseTo(0.007001, 6)
    expect(at[2]).toBeCloseTo(2.13238, 6)
  })
})

describe('bond', () => {
  it.each([
    [
      {
        force_N: 10_000,
        width_mm: 100,
        length_mm: 50,
        modulus_MPa: 15_000,
        thickness_mm: 5,
        shear_MPa: 500,
        bond_mm: 2,
      },
      2,
      4.222552,
    ],
    [
      {
        force_N: 5000,
        width_mm: 25,
        length_mm: 12.5,
        modulus_MPa: 70_000,
        thickness_mm: 1.6,
        shear_MPa: 1000,
        bond_mm: 0.2,
      },
      16,
      31.342,
    ],
  ])('B01, B02: Volkersen', (lap, average, greatest) => {
    expect(volkersen(lap).average_MPa).toBeCloseTo(average, 6)
    expect(Math.abs(volkersen(lap).greatest_MPa / greatest - 1)).toBeLessThan(2e-5)
  })

  it('B06: a lap twice as long carries hardly more', () => {
    const lap = {
      force_N: 10_000,
      width_mm: 100,
      length_mm: 50,
      modulus_MPa: 15_000,
      thickness_mm: 5,
      shear_MPa: 500,
      bond_mm: 2,
    }
    const long = volkersen({ ...lap, length_mm: 100 })
    expect(long.greatest_MPa / long.average_MPa).toBeCloseTo(4.0848, 4)
    expect(volkersen(lap).greatest_MPa / long.greatest_MPa).toBeLessThan(1.05)
  })

  it('B07–B09: bead, paste, weights', () => {
    expect(bondVolume_l(6000, 30, 2)).toBeCloseTo(0.36, 9)
    expect(triangularBeadLeg_mm(30, 2, 0.1)).toBeCloseTo(11.4891, 4)
    expect(pressure_Pa(25, 0.3 * 0.4)).toBeCloseTo(2043.05, 2)
    expect(pressure_Pa(500, 6 * 0.03)).toBeCloseTo(27_240.7, 1)
    expect(bagsFor(27_240, 0.18, 25)).toBe(20)
  })

  it('B11: working time at the shop’s temperature', () => {
    expect(workingTime_min(30, 15)).toBeCloseTo(60, 9)
    expect(workingTime_min(30, 20)).toBeCloseTo(42.43, 2)
    expect(workingTime_min(30, 30)).toBeCloseTo(21.21, 2)
    expect(workingTime_min(30, 35)).toBeCloseTo(15, 9)
  })

  it('B14, B15: heat of a pour, growth on a steel frame', () => {
    expect(adiabaticRise_K(400, 1.9)).toBeCloseTo(210.5, 1)
    expect(thermalMismatch_mm(22e-6, 11.7e-6, 3000, 40)).toBeCloseTo(1.236, 6)
  })
})
