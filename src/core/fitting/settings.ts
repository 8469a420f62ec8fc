/**
 * What the job may say about a fitting beyond its place, and about the people, the wires and the vessel it is for.
 *
 * Places on a fitting are in its *stand axes*: the origin in the middle of its base, z out of the base, x the way that the
 * part looks at turn 0, y to the left of that. They travel with the part, and are mirrored with a mirrored twin.
 */

/** A place or a direction on a fitting, stand axes, mm. */
export type OnFitting = readonly [number, number, number]

/** COLREGS Rule 21 names; `anchor` is an all-round light with an exception of its own (Annex I 9(b)). */
export const LIGHT_KINDS = [
  'masthead',
  'port',
  'starboard',
  'combined',
  'stern',
  'towing',
  'all-round',
  'anchor',
] as const
export type LightKind = (typeof LIGHT_KINDS)[number]

export interface LightSetting {
  readonly kind: LightKind
  /** Where the light's own "ahead" points: degrees from the bow, clockwise as a bearing. 0 for a light fitted straight. */
  readonly forward_deg: number
  /** Height of the light source over the base, mm; null: three quarters of the part's height, said with a note. */
  readonly source_mm: number | null
}

export interface FastenerSetting {
  /** `holes`: the round holes found in the base; `given`: the places below. */
  readonly from: 'holes' | 'given'
  /** x y in stand axes, mm. */
  readonly at_mm: readonly (readonly [number, number])[]
  readonly diameter_mm: number
  /** `tube`: each is meant to hit a tube; `shell`: each must miss the metal. */
  readonly into: 'shell' | 'tube'
}

/** A space that something sweeps or that must stay free. Stand axes, mm and degrees. */
export type KeepOut =
  | { readonly kind: 'sphere'; readonly at_mm: OnFitting; readonly radius_mm: number }
  | {
      readonly kind: 'cylinder'
      readonly at_mm: OnFitting
      readonly axis: OnFitting
      readonly radius_mm: number
      readonly length_mm: number
    }
  | {
      readonly kind: 'cone'
      readonly at_mm: OnFitting
      readonly axis: OnFitting
      readonly half_deg: number
      readonly length_mm: number
    }
  | {
      /** What a lid or a door sweeps: turned about `axis` from `from` by `angle_deg` to the left (right-hand rule). */
      readonly kind: 'sector'
      readonly at_mm: OnFitting
      readonly axis: OnFitting
      readonly from: OnFitting
      readonly angle_deg: number
      readonly radius_mm: number
      /** Along the axis, about the middle. */
      readonly width_mm: number
    }

export interface FittingUse {
  readonly light: LightSetting | null
  readonly fasteners: FastenerSetting | null
  readonly keepOut: readonly KeepOut[]
  /** Places where a hand takes hold. */
  readonly handles_mm: readonly OnFitting[]
  /** Weighed by its volume where no mass is given; a key of `FITTING_MATERIALS`. */
  readonly material: string | null
  readonly locked: boolean
}

export const PLAIN_USE: FittingUse = {
  light: null,
  fasteners: null,
  keepOut: [],
  handles_mm: [],
  material: null,
  locked: false,
}

/** Densities, kg/m³. Common handbook figures from memory; a part of known mass is better weighed. */
export const FITTING_MATERIALS: Readonly<Record<string, number>> = {
  aluminium: 2700,
  bronze: 8800,
  glass: 2500,
  'glass laminate': 1800,
  nylon: 1140,
  polyethylene: 950,
  'stainless steel': 7900,
  teak: 660,
}

export interface PeopleSettings {
  /** Height of the deck people stand on, z in job axes, mm; null: the lowest point of the frame. */
  readonly deck_mm: number | null
  readonly shoes_mm: number
  /** Where the helmsman stands, x y in job axes; null: nobody steers under this top. */
  readonly helm_mm: readonly [number, number] | null
  /** Whose eye: `low` 5th percentile woman, `middle` mean of both medians, `high` 95th percentile man. */
  readonly eye: 'low' | 'middle' | 'high'
  /** Where people stand, x y in job axes, mm. */
  readonly standing_mm: readonly (readonly [number, number])[]
}

export interface WireChase {
  readonly name: string
  readonly width_mm: number
  readonly depth_mm: number
}

export interface WireRun {
  readonly id: string
  /** Id of the fitting it feeds. */
  readonly from: string
  /** Corners in plan on its way, x y in job axes, mm. */
  readonly via_mm: readonly (readonly [number, number])[]
  /** Id of the fitting that is the box; null: straight to the leg. */
  readonly box: string | null
  /** Id of the tube it leaves through; null: it ends in the box. */
  readonly leg: string | null
  /** What it still runs below the leg's foot to the supply, mm. */
  readonly beyond_mm: number
  readonly amps: number
  /** Conductor, mm². */
  readonly area_mm2: number
  /** Over the whole cable's sheath, mm. */
  readonly outside_mm: number
  /** `critical`: 3 % of the voltage may be lost, `other`: 10 % (S17). */
  readonly circuit: 'critical' | 'other'
  /** Names of the chases it lies in. */
  readonly chases: readonly string[]
}

export interface WiringSettings {
  readonly volts: number
  /** Share added to every length for slack and ends. */
  readonly slack: number
  /** Share of a chase that cables may fill. */
  readonly fill: number
  readonly chases: readonly WireChase[]
  readonly runs: readonly WireRun[]
}

export interface VesselSettings {
  /** Length of the vessel, m, for the heights of Annex I 2; null: not checked. */
  readonly length_m: number | null
  /** z of the gunwale in job axes, mm; null: not checked. */
  readonly gunwale_mm: number | null
  /** Mass without this top, kg, its centre of gravity above the baseline, and metacentric height, mm. */
  readonly mass_kg: number | null
  readonly centre_mm: number | null
  readonly metacentric_mm: number | null
  /** Height of the job's origin above the baseline that `centre_mm` is measured from, mm. */
  readonly origin_mm: number | null
}

export const PEOPLE_DEFAULTS: PeopleSettings = {
  deck_mm: null,
  shoes_mm: 30,
  helm_mm: null,
  eye: 'middle',
  standing_mm: [],
}

export const WIRING_DEFAULTS: WiringSettings = { volts: 12, slack: 0.1, fill: 0.4, chases: [], runs: [] }

export const VESSEL_DEFAULTS: VesselSettings = {
  length_m: null,
  gunwale_mm: null,
  mass_kg: null,
  centre_mm: null,
  metacentric_mm: null,
  origin_mm: null,
}
