/**
 * What a weight does to the vessel that carries it: how far her centre of gravity rises, and how far she heels at rest. For
 * orientation only: stability is judged by licensed people at the conditions that the rules name (ISO 12217: minimum operating
 * condition, and loaded where that is over 15 % heavier), and a new top changes what was judged.
 */
import { atanDeg } from '../geometry/portable-math'

export interface VesselWeight {
  /** Mass of the vessel as she floats, without the top. */
  readonly mass_kg: number
  /** Her centre of gravity over the keel, m. */
  readonly kg_m: number
  /** Metacentric height, m. */
  readonly gm_m: number
}

/** Over this share of added mass her stability is judged loaded as well as at the least condition (S20). */
const LOADED_TOO_OVER = 0.15

/** How much heavier something makes her, and whether that alone asks for both conditions (ISO 12217 as a workboat code restates it). */
export function addedMass(
  vessel_kg: number,
  added_kg: number,
): { readonly share: number; readonly bothJudged: boolean } {
  const share = added_kg / vessel_kg
  return { share, bothJudged: share > LOADED_TOO_OVER }
}

export interface VesselEffect {
  /** The centre of gravity over the keel with the top on, m: KG' = (M KG + m h) / (M + m). */
  readonly kg_m: number
  readonly rise_m: number
  /**
   * Heel at rest, small angles, degrees, to port above 0: tan φ = m d / (Δ GM), with the mass and the GM she has with the top on
   * (what her centre of gravity rises is lost to GM). null: nothing is left of GM, so she has no such rest.
   */
  readonly heel_deg: number | null
}

/** What is known of a vessel in job axes; anything may be missing. */
export interface VesselKnown {
  readonly mass_kg: number | null
  readonly kg_m: number | null
  readonly gm_m: number | null
  readonly keel_mm: number | null
}

/** The effect of a whole top on its vessel; null while mass, centre of gravity, GM and keel are not all known. */
export function effectOfTop(
  { mass_kg, kg_m, gm_m, keel_mm }: VesselKnown,
  top: { readonly mass_kg: number; readonly centre: readonly [number, number, number] },
): VesselEffect | null {
  if (mass_kg === null || kg_m === null || gm_m === null || keel_mm === null) return null
  return vesselEffect(
    { mass_kg, kg_m, gm_m },
    { mass_kg: top.mass_kg, height_m: (top.centre[2] - keel_mm) / 1000, offCentre_m: top.centre[1] / 1000 },
  )
}

/**
 * @param height_m of the added weight over the keel
 * @param offCentre_m to port above 0
 */
export function vesselEffect(
  vessel: VesselWeight,
  added: { readonly mass_kg: number; readonly height_m: number; readonly offCentre_m: number },
): VesselEffect {
  const kg_m = (vessel.mass_kg * vessel.kg_m + added.mass_kg * added.height_m) / (vessel.mass_kg + added.mass_kg)
  const rise_m = kg_m - vessel.kg_m
  const gm_m = vessel.gm_m - rise_m
  const heel_deg = gm_m > 0 ? heelOf(added.mass_kg * added.offCentre_m, vessel.mass_kg + added.mass_kg, gm_m) : null
  return { kg_m, rise_m, heel_deg }
}

/** Heel of a floating body under a moment, small angles, degrees: tan φ = moment / (Δ GM). */
export const heelOf = (moment_kgm: number, mass_kg: number, gm_m: number): number =>
  atanDeg(moment_kgm / (mass_kg * gm_m))
