/** The edits a page may make, and the guard in front of them: what the schema would refuse in a file is refused here too. */
import type { ClearanceSettings } from '../core/clearance/types'
import type { Edit } from '../core/job'
import { jobSchema } from '../core/job'
import type { JobStore } from './job-store'

export * from '../core/job/edits'
export * from '../core/job/fitting-edits'
export * from '../core/job/shape-edits'
export * from '../core/job/shell-edits'

/** What a job asks for when nobody says otherwise. */
export const DEFAULTS: { readonly clearance: ClearanceSettings } = jobSchema.parse({
  format: 'mouldwright-job',
  version: 1,
  scan: { files: ['scan'] },
})

/**
 * Applies an edit if the job it makes is a valid job.
 *
 * @returns null when it was applied, else one sentence that says what the field may hold
 */
export function tryEdit(jobs: JobStore, edit: Edit): string | null {
  const parsed = jobSchema.safeParse(edit.apply(jobs.getState().history.job))
  const issue = parsed.error?.issues[0]
  if (issue) return rangeWords(issue)
  jobs.getState().edit(edit)
  return null
}

function rangeWords(issue: { code: string; message: string; minimum?: unknown; maximum?: unknown }): string {
  if (issue.code === 'too_big' && issue.maximum !== undefined) return `At most ${String(issue.maximum)}.`
  if (issue.code === 'too_small' && issue.minimum !== undefined) return `At least ${String(issue.minimum)}.`
  return `${issue.message}.`
}
