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

export const shapeFields = {
  outline: outline.default({ from: 'silhouette' }).describe('the outline of the shell in plan'),
}
