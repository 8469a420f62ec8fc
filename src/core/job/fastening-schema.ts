/** What `job.json` may say about fasteners of a fitting and the room around it. The defaults are those of the fitting step. */
import { z } from 'zod'
import {
  FASTENER_DEFAULTS as F,
  FASTENS_INTO,
  KEEP_OUT_DEFAULTS as K,
  KEEP_OUT_SHAPES,
} from '../fitting/fastening-settings'

const coordinate = z.number().min(-100_000).max(100_000)
const onFitting = z.tuple([coordinate, coordinate, coordinate])
const size_mm = z.number().min(0.1).max(20_000)
const angle = z.number().min(-720).max(720)

export const fasteningUse = {
  fasteners: z
    .strictObject({
      holes: z.boolean().default(F.holes).describe('whether the round holes in its base are holes for fasteners'),
      into: z
        .enum(FASTENS_INTO)
        .default(F.into)
        .describe('shell: through the laminate, clear of every tube; tube: into a tube below, on purpose'),
      added: z
        .array(
          z.strictObject({
            at_mm: z.tuple([coordinate, coordinate]).describe('stand axes: forward and left of the middle of the base'),
            diameter_mm: z.number().min(0.5).max(100).describe('of the hole'),
          }),
        )
        .max(100)
        .default([]),
    })
    .default({ ...F, added: [] }),
  keepOuts: z
    .array(
      z.strictObject({
        name: z.string().min(1).max(100),
        shape: z.enum(KEEP_OUT_SHAPES).default(K.shape),
        at_mm: onFitting.default([...K.at_mm]).describe('stand axes: x forward, y left, z out of the base'),
        axis: onFitting
          .refine((v) => v.some((c) => c !== 0), 'give a direction that is not 0, 0, 0')
          .default([...K.axis]),
        radius_mm: size_mm.default(K.radius_mm).describe('of cylinder, sphere and sector'),
        length_mm: size_mm.default(K.length_mm).describe('of cylinder and cone; thickness of a sector'),
        halfAngle_deg: z.number().min(1).max(85).default(K.halfAngle_deg).describe('of a cone'),
        from_deg: angle.default(K.from_deg).describe('of a sector, about the axis from x towards y'),
        to_deg: angle.default(K.to_deg),
      }),
    )
    .max(20)
    .default([])
    .describe('room that must stay free: what a lid sweeps, what a hand needs'),
}
