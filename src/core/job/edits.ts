/**
 * Edits: pure functions from job to job, each with a title a person can read in the history.
 *
 * A mesh file is never inside an edit; the asset is stored by its hash before the edit that names it.
 */
import type { DatumPicks } from '../datum/types'
import { CHASE_DEFAULTS, SEAT_DEFAULTS } from '../fitting/seat-settings'
import type { Chase, SeatSettings } from '../fitting/seat-types'
import { PLAIN_USE } from '../fitting/settings'
import type { Matrix4 } from '../geometry/axes'
import type { FileRegister, LengthUnit, Repair } from '../scan/types'
import {
  type FittingEntry,
  freshId,
  type Job,
  type MeshAsset,
  type Revision,
  type Role,
  type TubeMark,
  type Waiver,
} from './job'

export interface Edit {
  readonly title: string
  readonly apply: (job: Job) => Job
}

const edit = (title: string, apply: (job: Job) => Job): Edit => ({ title, apply })

export const setTitle = (title: string): Edit => edit('title', (job) => ({ ...job, title }))

/** A new scan: its unit and pose are open again, the rest of the job stays. */
export const replaceScan = (files: readonly MeshAsset[]): Edit =>
  edit(`scan: ${files.map((f) => f.name).join(', ')}`, (job) => ({
    ...job,
    scan: { files, unit: 'auto', repairs: [], noise_mm: null },
    frame: { tubes: {} },
    datum: { ...withoutPicks(job.datum), matrix: 'auto', forwardFlipped: false, upFlipped: false },
  }))

/** Picks are places of one scan in one pose. */
const withoutPicks = ({ picks: _, ...datum }: Job['datum']): Job['datum'] => datum

/**
 * More files of the same frame. They are laid on the first as well as the metal tells; where it does not tell, the scan step
 * says so and asks for picked pairs.
 */
export const addScanFiles = (files: readonly MeshAsset[]): Edit =>
  edit(`scan added: ${files.map((f) => f.name).join(', ')}`, (job) => {
    const asItStands: FileRegister = { how: 'given', pairs: [] }
    const before = job.scan.files.slice(1).map((_, i) => job.scan.register?.[i] ?? asItStands)
    const register = [...before, ...files.map((): FileRegister => ({ how: 'auto', pairs: [] }))]
    return { ...job, scan: { ...job.scan, files: [...job.scan.files, ...files], register } }
  })

/** @param number place of the file in the scan, from 2: the first is what all others are laid on */
export const removeScanFile = (number: number): Edit =>
  edit(`file ${number} taken out of the scan`, (job) => {
    const { register, ...scan } = job.scan
    const files = scan.files.filter((_, i) => i !== number - 1)
    const left = register?.filter((_, i) => i !== number - 2)
    return { ...job, scan: { ...scan, files, ...(left ? { register: left } : {}) } }
  })

/** @param number place of the file in the scan, from 1; the first is what the others are laid on */
export const registerFile = (number: number, how: FileRegister): Edit =>
  edit(how.how === 'given' ? `file ${number} as it stands` : `file ${number} laid on the first`, (job) => {
    const asItStands: FileRegister = { how: 'given', pairs: [] }
    const register = job.scan.files
      .slice(1)
      .map((_, i) => (i === number - 2 ? how : (job.scan.register?.[i] ?? asItStands)))
    return { ...job, scan: { ...job.scan, register } }
  })

export const setScanUnit = (unit: 'auto' | LengthUnit): Edit =>
  edit(`unit of the scan: ${unit}`, (job) => ({ ...job, scan: { ...job.scan, unit } }))

export const setNoise = (noise_mm: number | null): Edit =>
  edit(noise_mm === null ? 'noise: estimated' : `noise: ${noise_mm} mm`, (job) => ({
    ...job,
    scan: { ...job.scan, noise_mm },
  }))

export const addRepair = (repair: Repair): Edit =>
  edit(`repair: ${repair.kind.replace('-', ' ')}`, (job) => ({
    ...job,
    scan: { ...job.scan, repairs: [...job.scan.repairs, repair] },
  }))

export const removeRepair = (index: number): Edit =>
  edit('repair taken back', (job) => ({
    ...job,
    scan: { ...job.scan, repairs: job.scan.repairs.filter((_, i) => i !== index) },
  }))

const fastenersSaid = ({ fasteners }: TubeMark): string =>
  fasteners ? `, fasteners every ${fasteners.pitch_mm} mm` : ''

export const markTube = (id: string, mark: TubeMark): Edit =>
  edit(`${mark.name ?? id.replace('-', ' ')}: ${mark.role}${fastenersSaid(mark)}`, (job) => ({
    ...job,
    frame: { ...job.frame, tubes: { ...job.frame.tubes, [id]: mark } },
  }))

export const setDatum = (change: Partial<Job['datum']>): Edit =>
  edit(`datum: ${Object.keys(change).join(', ')}`, (job) => ({ ...job, datum: { ...job.datum, ...change } }))

/** A typed matrix, or the metal asked again: either way nothing that was picked counts any more. */
export const setDatumMatrix = (matrix: 'auto' | Matrix4): Edit =>
  edit('datum: matrix', (job) => ({ ...job, datum: { ...withoutPicks(job.datum), matrix } }))

/** @param what what was picked, in a word or two */
export const setDatumPicks = (picks: DatumPicks, what: string): Edit =>
  edit(`datum: ${what}`, (job) => {
    const none = picks.level.length + picks.pairs.length + picks.forward.length === 0
    return { ...job, datum: { ...withoutPicks(job.datum), matrix: 'auto', ...(none ? {} : { picks }) } }
  })

export const setClearance = (change: Partial<Job['clearance']>): Edit =>
  edit(
    Object.entries(change)
      .map(([key, value]) => `${key.replace(/_mm$|_deg$/, '')} ${String(value)}`)
      .join(', '),
    (job) => ({ ...job, clearance: { ...job.clearance, ...change } }),
  )

/** @param how what was done to it, in a few words */
export const setOutline = (outline: Job['clearance']['outline'], how: string): Edit =>
  edit(`outline: ${how}`, (job) => ({ ...job, clearance: { ...job.clearance, outline } }))

export const setAnalysis = (change: Partial<Job['analysis']>): Edit =>
  edit(`analysis: ${Object.keys(change).join(', ')}`, (job) => ({ ...job, analysis: { ...job.analysis, ...change } }))

export const setTooling = (change: Partial<Job['tooling']>): Edit =>
  edit(`tooling: ${Object.keys(change).join(', ')}`, (job) => ({ ...job, tooling: { ...job.tooling, ...change } }))

export const setBuild = (change: Partial<Job['build']>): Edit =>
  edit(`build: ${Object.keys(change).join(', ')}`, (job) => ({ ...job, build: { ...job.build, ...change } }))

export type NewFitting = Omit<FittingEntry, 'id'>

/** What a fitting is before anybody says more. */
export const plainFitting = (name: string, mesh: MeshAsset, at_mm: readonly [number, number]): NewFitting => ({
  name,
  mesh,
  unit: 'auto',
  on: 'topside',
  at_mm,
  turn_deg: 0,
  upright: false,
  mirror: false,
  baseNormal: null,
  mass_kg: null,
  comment: '',
  seat: SEAT_DEFAULTS,
  ...PLAIN_USE,
})

export const addFitting = (fitting: NewFitting): Edit =>
  edit(`add ${fitting.name}`, (job) => ({
    ...job,
    fittings: [...job.fittings, { ...fitting, id: freshId(fitting.name, new Set(job.fittings.map((f) => f.id))) }],
  }))

/** @throws a defect if no fitting has this id */
export const changeFitting = (id: string, change: Partial<NewFitting>): Edit =>
  edit(
    `${id}: ${Object.keys(change)
      .map((k) => k.replace(/_mm$|_deg$|_kg$/, ''))
      .join(', ')}`,
    (job) => {
      if (!job.fittings.some((f) => f.id === id)) throw new Error(`job: no fitting has the id ${id}`)
      return { ...job, fittings: job.fittings.map((f) => (f.id === id ? { ...f, ...change } : f)) }
    },
  )

/** @throws a defect if no fitting has this id */
export const setSeat = (id: string, change: Partial<SeatSettings>): Edit =>
  edit(
    `seat of ${id}: ${Object.entries(change)
      .map(([key, value]) => `${key.replace(/_mm$|_deg$/, '')} ${String(value ?? 'as the shell')}`)
      .join(', ')}`,
    (job) => {
      if (!job.fittings.some((f) => f.id === id)) throw new Error(`job: no fitting has the id ${id}`)
      return {
        ...job,
        fittings: job.fittings.map((f) => (f.id === id ? { ...f, seat: { ...f.seat, ...change } } : f)),
      }
    },
  )

/** A chase with the defaults, along a line in plan. */
export const addChase = (name: string, path_mm: Chase['path_mm']): Edit =>
  edit(`add ${name}`, (job) => ({
    ...job,
    chases: [
      ...job.chases,
      {
        ...CHASE_DEFAULTS,
        name,
        path_mm,
        id: freshId(name, new Set([...job.chases, ...job.fittings].map((c) => c.id))),
      },
    ],
  }))

/** @throws a defect if no chase has this id */
export const changeChase = (id: string, change: Partial<Omit<Chase, 'id'>>): Edit =>
  edit(
    `${id}: ${Object.keys(change)
      .map((k) => k.replace(/_mm$|_deg$/, ''))
      .join(', ')}`,
    (job) => {
      if (!job.chases.some((c) => c.id === id)) throw new Error(`job: no chase has the id ${id}`)
      return { ...job, chases: job.chases.map((c) => (c.id === id ? { ...c, ...change } : c)) }
    },
  )

export const removeChase = (id: string): Edit =>
  edit(`remove ${id}`, (job) => ({ ...job, chases: job.chases.filter((c) => c.id !== id) }))

export const removeFitting = (id: string): Edit =>
  edit(`remove ${id}`, (job) => ({ ...job, fittings: job.fittings.filter((f) => f.id !== id) }))

export const waive = (waiver: Waiver): Edit =>
  edit(`waive ${waiver.finding}`, (job) => ({
    ...job,
    release: { ...job.release, waivers: [...job.release.waivers.filter((w) => w.finding !== waiver.finding), waiver] },
  }))

export const unwaive = (finding: string): Edit =>
  edit(`hold again: ${finding}`, (job) => ({
    ...job,
    release: { ...job.release, waivers: job.release.waivers.filter((w) => w.finding !== finding) },
  }))

export const sign = (signature: Job['release']['signatures'][number]): Edit =>
  edit(`${signature.role} signs`, (job) => ({
    ...job,
    release: {
      ...job.release,
      signatures: [...job.release.signatures.filter((s) => s.role !== signature.role), signature],
    },
  }))

export const unsign = (role: Role): Edit =>
  edit(`${role} takes the signature back`, (job) => ({
    ...job,
    release: { ...job.release, signatures: job.release.signatures.filter((s) => s.role !== role) },
  }))

export const setRevision = (revision: string): Edit =>
  edit(`revision ${revision}`, (job) => ({ ...job, release: { ...job.release, revision } }))

/** Keeps a release that was written; the same content under the same letter is kept once. */
export const keepRevision = (revision: Revision): Edit =>
  edit(`revision ${revision.revision} released`, (job) => ({
    ...job,
    release: {
      ...job.release,
      revisions: [
        ...job.release.revisions.filter(
          (r) => r.revision !== revision.revision || r.contentHash !== revision.contentHash,
        ),
        revision,
      ],
    },
  }))
