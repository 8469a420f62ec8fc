/** The file in which an owner sends remarks back: read from a stranger's machine, hence parsed strictly. */
import { z } from 'zod'
import { Refused } from '../geometry/trouble'
import type { Edit } from './edits'
import { commentSchema } from './fitting-schema'
import { freshId, type Job, type JobComment } from './job'

const fileSchema = z.strictObject({
  format: z.literal('mouldwright-comments'),
  version: z.literal(1),
  jobHash: z.string().regex(/^[0-9a-f]{64}$/),
  comments: z.array(commentSchema.omit({ id: true })).max(1000),
})

export interface CommentsFile {
  /** Of the job the remarks were made on. */
  readonly jobHash: string
  readonly comments: readonly Omit<JobComment, 'id'>[]
}

/** @throws Refused `file-damaged` in one sentence */
export function parseCommentsFile(text: string): CommentsFile {
  try {
    return fileSchema.parse(JSON.parse(text))
  } catch {
    throw new Refused(
      'file-damaged',
      'This is not a file of remarks, or it is damaged; save it again from the owner’s copy.',
    )
  }
}

/** Adds remarks; one that is there already, word for word, is not added twice, and a fitting that is gone is left out. */
export const takeComments = ({ comments }: CommentsFile): Edit => ({
  title: `${comments.length} ${comments.length === 1 ? 'remark' : 'remarks'} of the owner’s copy`,
  apply: (job: Job): Job => {
    const taken = new Set(job.comments.map((c) => c.id))
    const said = new Set(job.comments.map(spelling))
    const fresh = comments
      .filter((c) => !said.has(spelling(c)))
      .map((c) => ({
        ...c,
        fitting: job.fittings.some((f) => f.id === c.fitting) ? c.fitting : null,
        id: freshId('remark', taken),
      }))
    return fresh.length === 0 ? job : { ...job, comments: [...job.comments, ...fresh] }
  },
})

const spelling = (c: Omit<JobComment, 'id'>): string => JSON.stringify([c.author, c.at, c.text])
