/**
 * The bond between two laminates: bead, squeeze-out, weights, time. Formulas of the check values' section 8.
 */

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
  at25_min * factor ** ((25 - temperature_C) / 10)

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
  const e = Math.exp(-2 * half)
  return { average_MPa, greatest_MPa: (average_MPa * half * (1 + e)) / (1 - e) }
}

/** Adiabatic temperature rise of a pour, K: H in J/g over cp in J/gK. Thick putty runs away long before this. */
export const adiabaticRise_K = (heat_Jg: number, specific_JgK: number): number => heat_Jg / specific_JgK

/** Difference in growth of top and frame over a length, mm. */
export const thermalMismatch_mm = (top_perK: number, frame_perK: number, length_mm: number, dT_K: number): number =>
  (top_perK - frame_perK) * length_mm * dT_K
