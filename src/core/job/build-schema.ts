/** What `job.json` may say about building: plies, core, resin, feeds and vents, joint, shop. Defaults are starting values. */
import { z } from 'zod'

const length_mm = (least: number, most: number) => z.number().min(least).max(most)

const plies = (fallback: { fabric: string; layers: number }[]) =>
  z
    .array(z.strictObject({ fabric: z.string().min(1).max(60), layers: z.number().int().min(1).max(100) }))
    .min(1)
    .max(40)
    .default(fallback)

const core = z
  .strictObject({ kind: z.string().min(1).max(60), thickness_mm: length_mm(1, 200) })
  .nullable()
  .default(null)

const place = z.tuple([z.number(), z.number(), z.number()])
const shell = z.enum(['underside', 'topside'])

const money = z.number().min(0).max(1_000_000)

const feed = z.strictObject({
  shell,
  kind: z.enum(['point', 'line', 'ring']),
  points: z.array(place).min(1).max(200).describe('near the moulded face, job axes'),
  radius_mm: length_mm(0.5, 100).default(6).describe('of the mouth of a point inlet'),
})

export const buildSchema = z.strictObject({
  process: z.enum(['infusion', 'hand']).default('infusion'),
  resin: z.string().min(1).max(60).default('vinylester').describe('`polyester`, `vinylester` or `epoxy`'),
  gelcoat_mm: length_mm(0, 3).default(0.6),
  waste: z.number().min(0).max(2).default(0.15).describe('share ordered over what the shape takes'),
  underside: plies([
    { fabric: 'mat-300', layers: 1 },
    { fabric: 'biaxial-800', layers: 5 },
  ]).describe('plies of the underside shell, from the mould outwards'),
  topside: plies([
    { fabric: 'mat-450', layers: 1 },
    { fabric: 'biaxial-800', layers: 6 },
  ]).describe('plies of the topside shell, from the mould outwards'),
  undersideCore: core.describe('core under the crown; null: solid laminate'),
  topsideCore: core.describe('core under the crown; null: solid laminate'),
  zones: z
    .array(
      z.strictObject({
        name: z.string().min(1).max(60),
        shell,
        kind: z.enum(['crown', 'edge', 'skirt', 'flange', 'fittings', 'box']),
        margin_mm: length_mm(0, 500).default(60).describe('round the bases of fittings'),
        min: place.default([0, 0, 0]).describe('corners of a box, job axes'),
        max: place.default([0, 0, 0]),
        plies: plies([{ fabric: 'biaxial-800', layers: 2 }]),
        insert: z.string().min(1).max(60).nullable().default(null).describe('core kind in place of the core'),
      }),
    )
    .max(12)
    .default([])
    .describe('more plies on parts of a shell'),
  dropOff_mm: length_mm(0, 200).default(25).describe('each ply of a zone reaches so much further than the next'),
  rollWidth_mm: length_mm(100, 5000).default(1270).describe('usable width of the fabric rolls'),
  panelLoad_Pa: z.number().min(0).max(100_000).default(2000).describe('even pressure for the panel check'),
  start: z
    .string()
    .regex(/^(\d{4}-\d{2}-\d{2}T\d{2}:\d{2})?$/)
    .default('')
    .describe('when the gelcoat is laid, as `2026-11-25T08:00`; empty: hours only'),
  rates: z
    .strictObject({
      fabric_kg: money.default(5),
      resin_kg: money.default(7),
      gelcoat_kg: money.default(9),
      core_m2: money.default(28),
      paste_kg: money.default(16),
    })
    .prefault({})
    .describe('INVENTED figures for show: yours go here'),
  shop_C: z.number().min(-10).max(60).default(20).describe('temperature of the shop'),
  bag_mbar: z.number().min(0).max(1000).default(50).describe('pressure left in the bag, absolute'),
  flowMedium: z.boolean().default(true).describe('flow medium over the crown'),
  inlet: z
    .enum(['proposed', 'centreline', 'quarters', 'athwart', 'trim', 'placed'])
    .default('proposed')
    .describe('where the resin is fed from; `proposed`: the quickest layout without a pocket; `placed`: from `feeds`'),
  feeds: z.array(feed).max(60).default([]).describe('inlets placed by hand'),
  vents: z
    .array(z.strictObject({ shell, at: place }))
    .max(100)
    .default([])
    .describe('vents placed by hand; a shell without one is vented along its trim line'),
  feedBore_mm: length_mm(2, 50).default(16).describe('bore of the feed lines'),
  pasteWork_min: z.number().min(1).max(1000).default(45).describe('working time of the bonding paste at 25 °C'),
  clamp_Pa: z.number().min(0).max(100_000).default(5000).describe('pressure wanted on the bond line'),
  bag_kg: z.number().min(1).max(50).default(20).describe('weight of one bag'),
})
