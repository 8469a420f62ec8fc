/** What `job.json` may say about shells that are taken as they are, and about the way the top is lowered on to the frame. */
import { z } from 'zod'
import { lengthUnit, meshReference } from './mesh-schema'

const importedShell = z
  .strictObject({
    mesh: meshReference,
    unit: z.union([z.literal('auto'), lengthUnit]).default('auto'),
    axes: z
      .enum(['job', 'scan'])
      .default('job')
      .describe('job: it stands in job axes; scan: in those of the scan’s file, and moves with the datum'),
    matrix: z
      .array(z.number())
      .length(16)
      .nullable()
      .default(null)
      .describe('rigid motion applied first, row by row, mm; null: none'),
  })
  .nullable()
  .default(null)

export const importedSchema = z
  .strictObject({
    underside: importedShell.describe('a mesh to be taken as the underside shell; null: it is drawn'),
    topside: importedShell.describe('a mesh to be taken as the topside shell; null: it is drawn'),
  })
  .prefault({})

const lean = z.number().min(-80).max(80).default(0)

export const approachSchema = z
  .strictObject({
    fromAhead_deg: lean.describe('how far the way down leans: the top comes from ahead (below 0 from aft)'),
    fromPort_deg: lean.describe('the top comes from port (below 0 from starboard)'),
  })
  .nullable()
  .default(null)
