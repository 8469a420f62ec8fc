/** What `job.json` may say about seats and chases. The defaults are those of the fitting step. */
import { z } from 'zod'
import { CHASE_DEFAULTS as C, SEAT_DEFAULTS as S } from '../fitting/seat-settings'

const length_mm = (least: number, most: number) => z.number().min(least).max(most)
const own = (least: number, most: number) => length_mm(least, most).nullable().default(null)
const draft = z
  .number()
  .min(0.5)
  .max(45)
  .nullable()
  .default(null)
  .describe('draft of the wall against the pull; null: that of the shells')
const edgeRadius = own(0, 100).describe('outer edge of a pad, mouth of a pocket; 0: sharp; null: the least radius')
const footRadius = own(0, 100).describe('concave fillet at the foot of the wall; 0: sharp; null: the least radius')

/** The key `seat` of a fitting. */
export const seatUse = {
  seat: z
    .strictObject({
      kind: z
        .enum(['none', 'pad', 'recess', 'sunk'])
        .default(S.kind)
        .describe('pad: raised flat land; recess: pocket under the base; sunk: pocket for the whole body'),
      margin_mm: length_mm(0, 500).default(S.margin_mm).describe('flat land kept beyond the outline'),
      height_mm: own(0.5, 500).describe(
        'least height of a pad or depth of a pocket; null: 3, 6, or as deep as a sunk body is high',
      ),
      draft_deg: draft,
      cornerRadius_mm: own(0, 500).describe('least radius of the land’s corners in plan; null: the least radius'),
      edgeRadius_mm: edgeRadius,
      footRadius_mm: footRadius,
      bothSides: z.boolean().default(S.bothSides).describe('the same shape on the other side too, under nothing'),
    })
    .prefault({})
    .describe('what the shell does under it'),
}

const place = length_mm(-100_000, 100_000)

export const chaseSchema = z.strictObject({
  id: z.string().min(1).max(60),
  name: z.string().min(1).max(100),
  on: z.enum(['topside', 'underside']).default(C.on),
  path_mm: z
    .array(z.tuple([place, place]))
    .min(2)
    .max(200)
    .describe('corners of its middle line in plan, job axes'),
  width_mm: length_mm(2, 500).default(C.width_mm).describe('of the floor'),
  depth_mm: length_mm(0.5, 200).default(C.depth_mm),
  draft_deg: draft,
  edgeRadius_mm: edgeRadius,
  footRadius_mm: footRadius,
  bendRadius_mm: length_mm(0, 5000).default(C.bendRadius_mm).describe('of the middle line at its corners'),
  mirror: z.boolean().default(C.mirror).describe('an exact mirror image about the centreline'),
})
