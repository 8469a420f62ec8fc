/** How a job file names a mesh, and the units that it may be in: shared by every part of the schema that names one. */
import { z } from 'zod'

export const lengthUnit = z.enum(['um', 'mm', 'cm', 'm', 'in', 'ft'])

export const meshAsset = z.strictObject({
  asset: z
    .string()
    .regex(/^[0-9a-f]{64}$/)
    .describe('SHA-256 of the file, hex'),
  name: z.string().min(1).max(200).describe('the name it came with; for people only'),
  original: z
    .strictObject({
      name: z.string().min(1).max(200),
      sha256: z.string().regex(/^[0-9a-f]{64}$/),
      faces: z.number().int().min(0).describe('faces that the file states'),
      facesRead: z.number().int().min(0).describe('faces that came out with facets'),
    })
    .optional()
    .describe('the STEP file that this mesh was tessellated from, when it was taken into the job'),
})

/** In a file on disk a mesh may be named by its path beside the job; in memory and in a `.mwjob` it is always an asset. */
export const meshReference = z.union([z.string().min(1).max(1000), meshAsset])
