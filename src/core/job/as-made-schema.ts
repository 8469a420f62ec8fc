/** What `job.json` may say about scans of what was made: the mould or the part, held against the shell it was made to. */
import { z } from 'zod'
import { lengthUnit, meshReference } from './mesh-schema'

export const asMadeSchema = z.strictObject({
  mesh: meshReference,
  unit: z.union([z.literal('auto'), lengthUnit]).default('auto'),
  against: z.enum(['underside', 'topside']).describe('the planned moulded face it is held against'),
  of: z
    .enum(['part', 'mould'])
    .default('part')
    .describe('part: the moulded part itself; mould: its tool, the same face seen from the other side'),
  start: z
    .enum(['any', 'near'])
    .default('any')
    .describe('any: it may lie anyhow; near: it stands about where it belongs in job axes'),
  tolerance_mm: z
    .number()
    .min(0.01)
    .max(200)
    .default(3)
    .describe('width of the profile zone (ISO 1101), half on either side of the planned face'),
})
