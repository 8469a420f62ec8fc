/** Edits of fittings in use, of people, vessel and comments. Pure, like those of `edits.ts`. */
import type { PeopleSettings, VesselSettings } from '../fitting/settings'
import { WIRE_DEFAULTS, type Wire } from '../fitting/wire-settings'
import type { Edit } from './edits'
import { freshId, type Job, type JobComment } from './job'

const edit = (title: string, apply: (job: Job) => Job): Edit => ({ title, apply })
const keys = (change: object): string =>
  Object.keys(change)
    .map((k) => k.replace(/_(mm|mm2|m|kg|deg|A|V)$/, ''))
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

/** A wire with the defaults from a fitting. */
export const addWire = (from: string): Edit =>
  edit(`wire from ${from}`, (job) => {
    const id = freshId(`wire ${from}`, new Set([...job.wires, ...job.chases, ...job.fittings].map((w) => w.id)))
    return { ...job, wires: [...job.wires, { ...WIRE_DEFAULTS, id, name: `wire of ${from}`, from }] }
  })

/** @throws a defect if no wire has this id */
export const changeWire = (id: string, change: Partial<Omit<Wire, 'id'>>): Edit =>
  edit(`${id}: ${keys(change)}`, (job) => {
    if (!job.wires.some((w) => w.id === id)) throw new Error(`job: no wire has the id ${id}`)
    return { ...job, wires: job.wires.map((w) => (w.id === id ? { ...w, ...change } : w)) }
  })

export const removeWire = (id: string): Edit =>
  edit(`remove ${id}`, (job) => ({ ...job, wires: job.wires.filter((w) => w.id !== id) }))

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
