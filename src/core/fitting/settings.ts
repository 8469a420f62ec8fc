/**
 * What the job may say about a fitting beyond its place, and about the people and the vessel it is for.
 *
 * Places on a fitting are in its *stand axes*: the origin in the middle of its base, z out of the base, x the way that the
 * part looks at turn 0, y to the left of that. They travel with the part, and are mirrored with a mirrored twin.
 */
import { FASTENER_DEFAULTS, type FastenerSettings, type KeepOut } from './fastening-settings'

/** A place or a direction on a fitting, stand axes, mm. */
export type OnFitting = readonly [number, number, number]

/** COLREGS Rule 21 names; `anchor` is an all-round light with an exception of its own (Annex I 9(b)). */
export const NAVIGATION_LIGHTS = [
  'masthead',
  'port',
  'starboard',
  'combined',
  'stern',
  'towing',
  'all-round',
  'anchor',
] as const
export type NavigationLight = (typeof NAVIGATION_LIGHTS)[number]

/** `deck`: a lamp to see by, of which no rule asks that it be seen. */
export const LIGHT_KINDS = [...NAVIGATION_LIGHTS, 'deck'] as const
export type LightKind = (typeof LIGHT_KINDS)[number]

export interface LightSetting {
  readonly kind: LightKind
  /** Where the light's own "ahead" points: degrees from the bow, clockwise as a bearing. 0 for a light fitted straight. */
  readonly forward_deg: number
  /** Height of the light source over the base, mm; null: three quarters of the part's height, said with a note. */
  readonly source_mm: number | null
}

export interface FittingUse {
  readonly light: LightSetting | null
  /** It is not moved by hand. */
  readonly locked: boolean
  /** People hold on to it. */
  readonly handle: boolean
  readonly fasteners: FastenerSettings
  readonly keepOuts: readonly KeepOut[]
}

export const PLAIN_USE: FittingUse = {
  light: null,
  locked: false,
  handle: false,
  fasteners: FASTENER_DEFAULTS,
  keepOuts: [],
}

/** The one at the helm: `5`, `50`, `95` of a hundred of the same sex are shorter. */
export const HELMSMEN = ['woman-5', 'woman-50', 'woman-95', 'man-5', 'man-50', 'man-95'] as const
export type Helmsman = (typeof HELMSMEN)[number]

export interface PeopleSettings {
  /** Height of the deck people stand on, z in job axes, mm; null: the lowest point of the frame. */
  readonly deck_mm: number | null
  /** Where the helmsman stands, x y in job axes; null: nobody steers under this top. */
  readonly helm_mm: readonly [number, number] | null
  /** Whose eyes look from there, and whose arms reach from there. */
  readonly helmsman: Helmsman
  /** Height of the eyes over the deck, mm; null: as that person stands bare foot. */
  readonly eye_mm: number | null
}

export interface VesselSettings {
  /** Length of the vessel, m, for the heights of Annex I 2; null: not checked. */
  readonly length_m: number | null
  /** z of the gunwale in job axes, mm; null: not checked. */
  readonly gunwale_mm: number | null
  /** How far she runs bow up, and leans to either side, at most, degrees: lights are looked at so as well; null: only level. */
  readonly trim_deg: number | null
  readonly heel_deg: number | null
  /** As she floats without the top, kg; her centre of gravity over the keel and her metacentric height, m; null: not known. */
  readonly mass_kg: number | null
  readonly kg_m: number | null
  readonly gm_m: number | null
  /** z of the keel in job axes, mm; null: not known. */
  readonly keel_mm: number | null
}

export const PEOPLE_DEFAULTS: PeopleSettings = {
  deck_mm: null,
  helm_mm: null,
  helmsman: 'woman-50',
  eye_mm: null,
}

export const VESSEL_DEFAULTS: VesselSettings = {
  length_m: null,
  gunwale_mm: null,
  trim_deg: null,
  heel_deg: null,
  mass_kg: null,
  kg_m: null,
  gm_m: null,
  keel_mm: null,
}
