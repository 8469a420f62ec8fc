/** What `job.json` may say about fittings in use: lights, people, the vessel, comments. */
import { z } from 'zod'
import { HELMSMEN, LIGHT_KINDS, PEOPLE_DEFAULTS as P, VESSEL_DEFAULTS as V } from '../fitting/settings'
import { fasteningUse } from './fastening-schema'

/** Largest length that may be asked for anywhere, mm. */
const FAR_MM = 100_000
const length_mm = (least: number, most: number) => z.number().min(least).max(most)
const coordinate = length_mm(-FAR_MM, FAR_MM)
const inPlan = z.tuple([coordinate, coordinate])
const place = z.tuple([coordinate, coordinate, coordinate])
const id = z.string().min(1).max(60)

/** Keys of a fitting beside its name, mesh and place. */
export const fittingUse = {
  light: z
    .strictObject({
      kind: z.enum(LIGHT_KINDS).describe('arcs of visibility of COLREGS Rule 21; deck: a lamp to see by'),
      forward_deg: z
        .number()
        .min(-360)
        .max(360)
        .default(0)
        .describe('where its own ahead points, bearing from the bow'),
      source_mm: length_mm(0, 10_000)
        .nullable()
        .default(null)
        .describe('height of the source over the base; null: three quarters of the part’s height'),
    })
    .nullable()
    .default(null)
    .describe('what it shines as; of navigation lights the rules of the flag state decide'),
  locked: z.boolean().default(false).describe('true: it is not moved by hand'),
  handle: z.boolean().default(false).describe('true: people hold on to it; its reach from the deck is checked'),
  ...fasteningUse,
}

export const peopleSchema = z.strictObject({
  deck_mm: coordinate
    .nullable()
    .default(P.deck_mm)
    .describe('height of the deck, z in job axes; null: lowest point of the frame'),
  helm_mm: inPlan.nullable().default(null).describe('where the helmsman stands, x y in job axes'),
  helmsman: z
    .enum(HELMSMEN)
    .default(P.helmsman)
    .describe('who stands at the helm: of a hundred of the same sex so many are shorter (ANSUR II, 2014)'),
  eye_mm: length_mm(500, 2500)
    .nullable()
    .default(P.eye_mm)
    .describe('height of the eyes over the deck; null: as that person stands bare foot'),
})

const orNull = (least: number, most: number) => z.number().min(least).max(most).nullable()

export const vesselSchema = z.strictObject({
  length_m: orNull(1, 500).default(V.length_m).describe('for the heights of lights in COLREGS Annex I 2'),
  gunwale_mm: coordinate.nullable().default(V.gunwale_mm).describe('z of the gunwale in job axes'),
  trim_deg: orNull(-20, 20).default(V.trim_deg).describe('bow up as she runs; lights are looked at so as well'),
  heel_deg: orNull(0, 45).default(V.heel_deg).describe('leaning to either side; lights are looked at so as well'),
  mass_kg: orNull(1, 1e8).default(V.mass_kg).describe('of the vessel as she floats, without the top'),
  kg_m: orNull(0, 100).default(V.kg_m).describe('her centre of gravity over the keel'),
  gm_m: orNull(0.01, 100).default(V.gm_m).describe('her metacentric height'),
  keel_mm: coordinate.nullable().default(V.keel_mm).describe('z of the keel in job axes'),
})

export const commentSchema = z.strictObject({
  id,
  author: z.string().min(1).max(100),
  text: z.string().min(1).max(2000),
  state: z.enum(['open', 'settled']).default('open'),
  at: z.string().max(40).describe('ISO 8601 time'),
  where: place.nullable().default(null).describe('job axes, mm'),
  fitting: id.nullable().default(null).describe('the fitting it is about'),
})
