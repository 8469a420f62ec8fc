/** Edits of fittings in use, of people, vessel and comments. Pure, like those of `edits.ts`. */
import type { PeopleSettings, VesselSettings } from '../fitting/settings'
import type { Edit } from './edits'
import { freshId, type Job, type JobComment } from './job'

const edit = (title: string, apply: (job: Job) => Job): Edit => ({ title, apply })
const keys = (change: object): string =>
  Object.keys(change)
    .map((k) => k.replace(/_(mm|m|kg|deg)$/, ''))
    .join(', ')

export const setPeople = (change: Partial<PeopleSettings>): Edit =>
  edit(`people: ${keys(change)}`, (job) => ({ ...job, people: { ...job.people, ...change } }))

export const setVessel = (change: Partial<VesselSettings>): Edit =>
  edit(`vessel: ${keys(change)}`, (job) => ({ ...job, vessel: { ...job.vessel, ...change } }))

/** A copy beside the original; `by_mm` is where it goes from there. */
export const copyFitting = (id: string, by_mm: readonly [number, number]): Edit => arrayFitting(id, 1, by_mm)

/**
 * `count` further ones along a line, each `step_mm` on from the last.
 *
 * @throws a defect if no fitting has this id
 */
export const arrayFitting = (id: string, count: number, step_mm: readonly [number, number]): Edit =>
  edit(count === 1 ? `copy of ${id}` : `${count} more of ${id}`, (job) => {
    const own = job.fittings.find((f) => f.id === id)
    if (!own) throw new Error(`job: no fitting has the id ${id}`)
    const taken = new Set(job.fittings.map((f) => f.id))
    const more = Array.from({ length: count }, (_, i) => ({
      ...own,
      id: freshId(own.name, taken),
      locked: false,
      at_mm: [own.at_mm[0] + (i + 1) * step_mm[0], own.at_mm[1] + (i + 1) * step_mm[1]] as const,
    }))
    return { ...job, fittings: [...job.fittings, ...more] }
  })

/** @param comment `at` is the host's clock, ISO 8601 */
export const addComment = (comment: Omit<JobComment, 'id'>): Edit =>
  edit(`remark of ${comment.author}`, (job) => ({
    ...job,
    comments: [...job.comments, { ...comment, id: freshId('remark', new Set(job.comments.map((c) => c.id))) }],
  }))

export const changeComment = (id: string, change: Partial<Omit<JobComment, 'id'>>): Edit =>
  edit(change.state === 'settled' ? 'remark settled' : `remark: ${keys(change)}`, (job) => ({
    ...job,
    comments: job.comments.map((c) => (c.id === id ? { ...c, ...change } : c)),
  }))

export const removeComment = (id: string): Edit =>
  edit('remark taken away', (job) => ({ ...job, comments: job.comments.filter((c) => c.id !== id) }))
