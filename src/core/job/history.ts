/**
 * Undo as a list of jobs that share structure: undo is the job before. A drag opens a mark on its first move and closes it
 * on release, so that it is one undo.
 */
import type { Edit } from './edits'
import type { Job } from './job'

export interface Entry {
  readonly title: string
  /** The job before the edit. */
  readonly before: Job
}

export interface History {
  readonly job: Job
  readonly past: readonly Entry[]
  readonly future: readonly { readonly title: string; readonly after: Job }[]
  /** The drag that is going on: its title, and how long the past was when it began. */
  readonly mark: { readonly title: string; readonly from: number } | null
}

export const startHistory = (job: Job): History => ({ job, past: [], future: [], mark: null })

/** Applies an edit; a job that comes back the same object leaves history as it was. */
export function applyEdit(history: History, edit: Edit): History {
  const job = edit.apply(history.job)
  if (job === history.job) return history
  // Every edit of a drag after its first is folded into that first one.
  if (history.mark !== null && history.past.length > history.mark.from) return { ...history, job }
  const title = history.mark?.title ?? edit.title
  return { ...history, job, past: [...history.past, { title, before: history.job }], future: [] }
}

export const openMark = (history: History, title: string): History => ({
  ...history,
  mark: { title, from: history.past.length },
})

export const closeMark = (history: History): History => (history.mark === null ? history : { ...history, mark: null })

export function undo(history: History): History {
  const last = history.past.at(-1)
  if (!last) return history
  return {
    job: last.before,
    past: history.past.slice(0, -1),
    future: [{ title: last.title, after: history.job }, ...history.future],
    mark: null,
  }
}

export function redo(history: History): History {
  const [next, ...rest] = history.future
  if (!next) return history
  return {
    job: next.after,
    past: [...history.past, { title: next.title, before: history.job }],
    future: rest,
    mark: null,
  }
}
