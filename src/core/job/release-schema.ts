/** What `job.json` may say about waivers, signatures and revisions. */
import { z } from 'zod'

const sha256 = z.string().regex(/^[0-9a-f]{64}$/)
const time = z.string().max(40).describe('ISO 8601 time')
const base64url = z
  .string()
  .regex(/^[A-Za-z0-9_-]+$/)
  .max(400)

const waiver = z.strictObject({
  finding: z.string().max(200),
  by: z.string().min(1).max(100),
  reason: z.string().min(1).max(1000),
  at: time,
})

const seal = z.strictObject({
  algorithm: z.enum(['Ed25519', 'ECDSA-P256']),
  publicKey: base64url.describe('raw public key, base64url'),
  value: base64url.describe('signature over the canonical JSON of role, name, time, covers and figures'),
})

const figures = z.record(z.string(), z.union([z.number(), z.string()])).default({})

const signature = z.strictObject({
  role: z.enum(['designer', 'owner', 'toolmaker']),
  name: z.string().min(1).max(100),
  at: time,
  covers: sha256.describe('hash of exactly the inputs and results signed'),
  figures,
  seal: seal.nullable().default(null).describe('made with the person’s own key; null: a name alone'),
})

const revision = z.strictObject({
  revision: z.string().max(20),
  at: time,
  jobHash: sha256,
  contentHash: sha256.describe('of the pack, as its manifest states it'),
  signedBy: z.array(z.string().max(200)).max(10).default([]),
  figures: z.record(z.string(), z.number()).default({}).describe('headline figures, unit in the name'),
  planned: z.record(z.string(), z.json()).describe('the job as it was released, less what is said, signed and waived'),
})

export const releaseSchema = z.strictObject({
  revision: z.string().max(20).default('A'),
  waivers: z.array(waiver).max(1000).default([]),
  signatures: z.array(signature).max(100).default([]),
  revisions: z.array(revision).max(200).default([]).describe('every release that was written, oldest first'),
})
