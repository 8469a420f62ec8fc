/** How each further file of a scan is brought on to the first. */
import { z } from 'zod'

const place = z.tuple([z.number(), z.number(), z.number()])

export const fileRegisterSchema = z
  .strictObject({
    how: z
      .enum(['given', 'auto', 'shape', 'pairs'])
      .default('given')
      .describe(
        'given: as the file stands; auto: refined from where it stands, or by its shape if that fits better; shape: by the principal axes, for two scans of the whole frame; pairs: from picked places',
      ),
    pairs: z
      .array(
        z.strictObject({
          moving: place.describe('on this file, mm, its own axes'),
          standing: place.describe('the same spot on the first file, mm'),
        }),
      )
      .max(50)
      .default([])
      .describe('for `pairs`: three or more, not on one line'),
  })
  .describe('one entry for each file after the first, in their order; files without an entry stay as they stand')
