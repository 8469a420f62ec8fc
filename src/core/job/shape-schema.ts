/** What `job.json` may say about where the shell goes its own way; the keys stand among those of `clearance`. */
import { z } from 'zod'

const length_mm = (least: number, most: number) => z.number().min(least).max(most)

const outlinePoint = z.strictObject({
  at_mm: z.tuple([length_mm(-100_000, 100_000), length_mm(-100_000, 100_000)]).describe('x, y in job axes'),
  radius_mm: length_mm(0, 5000).default(0).describe('fillet of the corner; 0: the least radius of the shell'),
})

const outline = z.discriminatedUnion('from', [
  z.strictObject({ from: z.literal('silhouette') }).describe('the frame’s silhouette, grown by gap and overhang'),
  z
    .strictObject({
      from: z.literal('polygon'),
      mirrored: z
        .boolean()
        .default(true)
        .describe('true: the points are the port half in order, and starboard is their mirror image'),
      points: z.array(outlinePoint).min(2).max(4000),
    })
    .describe(
      'where the skirt’s wall runs in plan (at the result’s `outlineHeight_mm`), drawn or read from DXF or SVG',
    ),
])

const corner = z.tuple([length_mm(-100_000, 100_000), length_mm(-100_000, 100_000), length_mm(-100_000, 100_000)])

const region = z.strictObject({
  name: z.string().min(1).max(60),
  min_mm: corner.describe('lowest corner of the box, job axes'),
  max_mm: corner.describe('highest corner of the box, job axes'),
  gap_mm: length_mm(0, 100).describe('gap that metal with a corner of a facet in the box asks for'),
})

const allowance = z.strictObject({
  laminate_mm: length_mm(0, 50).default(0).describe('kept beyond every gap for the spread of the laminate'),
  shrinkage_percent: z
    .number()
    .min(0)
    .max(5)
    .default(0)
    .describe(
      'linear shrinkage of the part against its mould: kept beyond the gap in proportion to the distance from the middle of the plan',
    ),
})

const trim = z.strictObject({
  name: z.string().min(1).max(60),
  pitch_deg: z.number().min(-30).max(30).default(0).describe('above 0: bow up'),
  heel_deg: z.number().min(-45).max(45).default(0).describe('above 0: starboard side down'),
})

const boss = z.strictObject({
  name: z.string().min(1).max(60),
  at_mm: z.tuple([length_mm(-100_000, 100_000), length_mm(-100_000, 100_000)]).describe('middle in plan, job axes'),
  radius_mm: length_mm(5, 150).default(40).describe('metal within this distance in plan is cleared by the boss alone'),
  draft_deg: z.number().min(20).max(75).default(40).describe('of its wall, against the pull'),
})

const lands = z.strictObject({
  kind: z
    .enum(['none', 'flat', 'saddle'])
    .default('none')
    .describe('flat: level across the tube; saddle: round about it'),
  width_mm: length_mm(10, 150).default(40),
  draft_deg: z.number().min(20).max(75).default(45).describe('of the sides of the strips, against the pull'),
})

export const shapeFields = {
  bosses: z
    .array(boss)
    .max(50)
    .default([])
    .describe(
      'local rises over metal that stands proud, instead of lifting the whole sheet; the other side of a symmetric top has them too',
    ),
  lands: lands
    .prefault({})
    .describe('strips of the inner surface that come down on to the bearing tubes, so that the bedding is even'),
  regions: z
    .array(region)
    .max(200)
    .default([])
    .describe(
      'boxes with their own gap; where two overlap the later one holds, and a region holds over the mark of a tube',
    ),
  allowance: allowance.prefault({}).describe('kept beyond the gap because a made part is not the drawn one'),
  trims: z
    .array(trim)
    .max(20)
    .default([])
    .describe('how the vessel may lie when rain must run off the topside, besides level'),
  outline: outline.default({ from: 'silhouette' }).describe('the outline of the shell in plan'),
}
