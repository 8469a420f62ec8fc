/** What `job.json` may say about fittings in use: lights, fasteners, room they need, people, wires, the vessel, comments. */
import { z } from 'zod'
import {
  FITTING_MATERIALS,
  LIGHT_KINDS,
  PEOPLE_DEFAULTS as P,
  VESSEL_DEFAULTS as V,
  WIRING_DEFAULTS as W,
} from '../fitting/settings'

/** Largest length that may be asked for anywhere, mm. */
const FAR_MM = 100_000
const length_mm = (least: number, most: number) => z.number().min(least).max(most)
const coordinate = length_mm(-FAR_MM, FAR_MM)
const inPlan = z.tuple([coordinate, coordinate])
const place = z.tuple([coordinate, coordinate, coordinate])
const direction = place.refine((v) => v[0] ** 2 + v[1] ** 2 + v[2] ** 2 > 1e-12, 'a direction needs a length')
const id = z.string().min(1).max(60)

const keepOut = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('sphere'), at_mm: place, radius_mm: length_mm(0.1, FAR_MM) }),
  z.strictObject({
    kind: z.literal('cylinder'),
    at_mm: place,
    axis: direction.default([0, 0, 1]),
    radius_mm: length_mm(0.1, FAR_MM),
    length_mm: length_mm(0.1, FAR_MM),
  }),
  z.strictObject({
    kind: z.literal('cone'),
    at_mm: place.describe('its tip'),
    axis: direction.default([1, 0, 0]),
    half_deg: z.number().min(0.1).max(80),
    length_mm: length_mm(0.1, FAR_MM),
  }),
  z
    .strictObject({
      kind: z.literal('sector'),
      at_mm: place.describe('on the hinge, in its middle'),
      axis: direction.default([0, 1, 0]),
      from: direction.default([1, 0, 0]).describe('where the lid lies when shut'),
      angle_deg: z.number().min(1).max(350),
      radius_mm: length_mm(0.1, FAR_MM),
      width_mm: length_mm(0.1, FAR_MM),
    })
    .describe('what a lid sweeps'),
])

/** Keys of a fitting beside its name, mesh and place. Places in its stand axes: from the middle of its base, z out of it. */
export const fittingUse = {
  light: z
    .strictObject({
      kind: z.enum(LIGHT_KINDS).describe('arcs of visibility of COLREGS Rule 21'),
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
    .describe('a navigation light; the rules of the flag state decide'),
  fasteners: z
    .strictObject({
      from: z.enum(['holes', 'given']).default('holes').describe('round holes found in the base, or `at_mm`'),
      at_mm: z.array(inPlan).max(200).default([]),
      diameter_mm: length_mm(1, 100).default(6),
      into: z.enum(['shell', 'tube']).default('shell').describe('tube: meant to hit the metal; shell: must miss it'),
    })
    .nullable()
    .default(null),
  keepOut: z.array(keepOut).max(20).default([]).describe('room it swings through or must have free'),
  handles_mm: z.array(place).max(20).default([]).describe('where a hand takes hold'),
  material: z
    .enum(Object.keys(FITTING_MATERIALS) as [string, ...string[]])
    .nullable()
    .default(null)
    .describe('weighs the part by its volume where `mass_kg` is null'),
  locked: z.boolean().default(false).describe('true: it is not moved by hand'),
}

export const peopleSchema = z.strictObject({
  deck_mm: coordinate
    .nullable()
    .default(P.deck_mm)
    .describe('height of the deck, z in job axes; null: lowest point of the frame'),
  shoes_mm: length_mm(0, 200).default(P.shoes_mm),
  helm_mm: inPlan.nullable().default(null).describe('where the helmsman stands, x y in job axes'),
  eye: z
    .enum(['low', 'middle', 'high'])
    .default(P.eye)
    .describe('5th percentile woman, between the medians, 95th percentile man'),
  standing_mm: z.array(inPlan).max(50).default([]).describe('where people stand, x y in job axes'),
})

const chase = z.strictObject({
  name: z.string().min(1).max(60),
  width_mm: length_mm(1, 1000),
  depth_mm: length_mm(1, 1000),
})

const run = z.strictObject({
  id,
  from: id.describe('fitting that it feeds'),
  via_mm: z.array(inPlan).max(100).default([]).describe('corners in plan, from the fitting on'),
  box: id.nullable().default(null).describe('fitting that is the box'),
  leg: id.nullable().default(null).describe('tube that it leaves through'),
  beyond_mm: length_mm(0, FAR_MM).default(0).describe('from the foot of the leg to the supply'),
  amps: z.number().min(0).max(1000).default(1),
  area_mm2: z.number().min(0.05).max(500).default(1.5),
  outside_mm: length_mm(0.5, 100).default(7).describe('over the sheath'),
  circuit: z.enum(['critical', 'other']).default('critical').describe('critical: 3 % may be lost; other: 10 %'),
  chases: z.array(z.string().min(1).max(60)).max(20).default([]),
})

export const wiringSchema = z.strictObject({
  volts: z.number().min(1).max(1000).default(W.volts),
  slack: z.number().min(0).max(2).default(W.slack).describe('share added to every length'),
  fill: z.number().min(0.05).max(1).default(W.fill).describe('share of a chase that cables may fill'),
  chases: z.array(chase).max(100).default([]),
  runs: z.array(run).max(500).default([]),
})

const orNull = (least: number, most: number) => z.number().min(least).max(most).nullable()

export const vesselSchema = z.strictObject({
  length_m: orNull(1, 500).default(V.length_m).describe('for the heights of lights in COLREGS Annex I 2'),
  gunwale_mm: coordinate.nullable().default(V.gunwale_mm).describe('z of the gunwale in job axes'),
  mass_kg: orNull(1, 1e9).default(V.mass_kg).describe('without this top'),
  centre_mm: orNull(-FAR_MM, FAR_MM).default(V.centre_mm).describe('height of its centre of gravity over the baseline'),
  metacentric_mm: orNull(1, FAR_MM).default(V.metacentric_mm).describe('metacentric height'),
  origin_mm: orNull(-FAR_MM, FAR_MM).default(V.origin_mm).describe('height of the job’s origin over the same baseline'),
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
