/**
 * The bond between two laminates: bead, squeeze-out, weights, time. Formulas of the check values' section 8.
 */
import { exp, power, square } from '../geometry/portable-math'

/** Leg of an equal-leg triangular bead that fills width × gap with a share over, mm. */
export const triangularBeadLeg_mm = (width_mm: number, gap_mm: number, over: number): number =>
  Math.sqrt(2 * width_mm * gap_mm * (1 + over))

/** Paste for a bond line, litres; lengths mm. */
export const bondVolume_l = (length_mm: number, width_mm: number, gap_mm: number, over = 0): number =>
  (length_mm * width_mm * gap_mm * (1 + over)) / 1e6

/** Pressure of a weight over an area, Pa (g = 9.80665). */
export const pressure_Pa = (mass_kg: number, area_m2: number): number => (mass_kg * 9.80665) / area_m2

/** Bags of a given mass that give a wanted pressure over an area, rounded up. */
export const bagsFor = (wanted_Pa: number, area_m2: number, bag_kg: number): number =>
  Math.ceil((wanted_Pa * area_m2) / (bag_kg * 9.80665) - 1e-9)

/** Working time at another temperature: halves per 10 °C up (stated in several supplier notes; the factor is really 1.5–2.5). */
export const workingTime_min = (at25_min: number, temperature_C: number, factor = 2): number =>
  at25_min * power(factor, (25 - temperature_C) / 10)

/** Average and greatest shear of a balanced single lap by Volkersen (Luftfahrtforschung 15, 1938), MPa. N, mm, MPa. */
export function volkersen(lap: {
  readonly force_N: number
  readonly width_mm: number
  readonly length_mm: number
  readonly modulus_MPa: number
  readonly thickness_mm: number
  readonly shear_MPa: number
  readonly bond_mm: number
}): { average_MPa: number; greatest_MPa: number } {
  const average_MPa = lap.force_N / (lap.width_mm * lap.length_mm)
  const w = Math.sqrt((lap.shear_MPa / lap.bond_mm) * (2 / (lap.modulus_MPa * lap.thickness_mm)))
  const half = (w * lap.length_mm) / 2
  const e = exp(-2 * half)
  return { average_MPa, greatest_MPa: (average_MPa * half * (1 + e)) / (1 - e) }
}

/** Adiabatic temperature rise of a pour, K: H in J/g over cp in J/gK. Thick putty runs away long before this. */
export const adiabaticRise_K = (heat_Jg: number, specific_JgK: number): number => heat_Jg / specific_JgK

/** Difference in growth of top and frame over a length, mm. */
export const thermalMismatch_mm = (top_perK: number, frame_perK: number, length_mm: number, dT_K: number): number =>
  (top_perK - frame_perK) * length_mm * dT_K

/**
 * Greatest shear over average of a single lap of unlike parts by Volkersen: (wl/2)(coth + |(1 − p)/(1 + p)| tanh) of wl/2 with
 * p = E1 t1 / E2 t2, at the loaded end of the softer part. MPa, mm.
 */
export function unlikeLapFactor(lap: {
  readonly length_mm: number
  readonly stiffness1_Nmm: number
  readonly stiffness2_Nmm: number
  readonly shear_MPa: number
  readonly bond_mm: number
}): number {
  const { stiffness1_Nmm: a, stiffness2_Nmm: b } = lap
  const w = Math.sqrt((lap.shear_MPa / lap.bond_mm) * (1 / a + 1 / b))
  const half = (w * lap.length_mm) / 2
  const e = exp(-2 * half)
  const tanh = (1 - e) / (1 + e)
  const p = a / b
  return half * (1 / tanh + Math.abs((1 - p) / (1 + p)) * tanh)
}

/**
 * Single lap with bending by Goland and Reissner (J. Appl. Mech. 11, 1944): edge moment factor k and the greatest shear, MPa,
 * for two like parts. `force_Nmm` is the force per width.
 */
export function golandReissner(lap: {
  readonly force_Nmm: number
  readonly length_mm: number
  readonly modulus_MPa: number
  readonly poisson: number
  readonly thickness_mm: number
  readonly shear_MPa: number
  readonly bond_mm: number
}): { k: number; greatest_MPa: number } {
  const { force_Nmm: P, modulus_MPa: E, thickness_mm: t } = lap
  const c = lap.length_mm / 2
  const u = Math.sqrt((3 * (1 - square(lap.poisson))) / 2) * (c / t) * Math.sqrt(P / t / E)
  const cosh = (exp(u) + exp(-u)) / 2
  const sinh = (exp(u) - exp(-u)) / 2
  const k = cosh / (cosh + 2 * Math.SQRT2 * sinh)
  const x = (Math.sqrt((8 * lap.shear_MPa * t) / (E * lap.bond_mm)) * c) / t
  const e = exp(-2 * x)
  return { k, greatest_MPa: (P / (8 * c)) * (x * (1 + 3 * k) * ((1 + e) / (1 - e)) + 3 * (1 - k)) }
}

/** Time to squeeze a strip of paste from one gap to another, s: μ W³/2f (1/h² − 1/h0²) (Stefan, Reynolds); paste thins: a lower bound. SI. */
export const squeezeTime_s = (
  viscosity_Pas: number,
  width_m: number,
  force_Nm: number,
  from_m: number,
  to_m: number,
): number => ((viscosity_Pas * width_m * square(width_m)) / (2 * force_Nm)) * (1 / square(to_m) - 1 / square(from_m))

/** The gap at which a paste with a yield stress stops, m: τ W² / 2f. SI. */
export const squeezeStop_m = (yield_Pa: number, width_m: number, force_Nm: number): number =>
  (yield_Pa * square(width_m)) / (2 * force_Nm)

const GAS = 8.314462618
/** Activation energy that halves a time between two temperatures (Arrhenius), J/mol; °C. */
export const activationEnergy_Jmol = (from_C: number, to_C: number): number =>
  (GAS * Math.LN2) / (1 / (from_C + 273.15) - 1 / (to_C + 273.15))

/** A time at another temperature by Arrhenius. */
export const arrheniusTime = (at: number, at_C: number, to_C: number, energy_Jmol: number): number =>
  at * exp((energy_Jmol / GAS) * (1 / (to_C + 273.15) - 1 / (at_C + 273.15)))
