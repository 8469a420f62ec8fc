/** What `job.json` may say about wires. The defaults are those of the fitting step. */
import { z } from 'zod'
import { WIRE_DEFAULTS as D } from '../fitting/wire-settings'

const coordinate = z.number().min(-100_000).max(100_000)
const id = z.string().min(1).max(60)

export const wireSchema = z.strictObject({
  id,
  name: z.string().min(1).max(100),
  from: id.describe('id of the fitting it comes from'),
  to: id.nullable().default(D.to).describe('id of the fitting it goes to; null: it leaves at `exit_mm`'),
  exit_mm: z
    .tuple([coordinate, coordinate, coordinate])
    .nullable()
    .default(null)
    .describe('where it leaves through a leg, job axes'),
  chases: z.array(id).max(20).default([]).describe('ids of the chases it runs in, in their order; none: by `via_mm`'),
  chase: id
    .nullable()
    .optional()
    .describe('as older files say it: the same as `chases` with this one; not written any more'),
  via_mm: z
    .array(z.tuple([coordinate, coordinate]))
    .max(200)
    .default([])
    .describe('corners of its way in plan, job axes; none: straight'),
  mirror: z.boolean().default(D.mirror).describe('a mirror image of it for the twin'),
  slack: z.number().min(0).max(2).default(D.slack).describe('share added to the length'),
  section_mm2: z.number().min(0.1).max(500).default(D.section_mm2).describe('of the conductor'),
  outside_mm: z.number().min(0.5).max(100).default(D.outside_mm).describe('diameter with its insulation'),
  current_A: z.number().min(0).max(2000).nullable().default(D.current_A),
  supply_V: z.number().min(1).max(1000).default(D.supply_V),
  allowedDrop: z
    .number()
    .min(0.001)
    .max(0.5)
    .default(D.allowedDrop)
    .describe('share of the supply that may be lost: 0.03 for lights, pumps, feeds and electronics, 0.1 for the rest'),
})
