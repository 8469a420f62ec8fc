/**
 * The job: one immutable JSON document; everything else is derived from it and may be thrown away.
 *
 * In memory every mesh is named by its SHA-256 (`MeshAsset`); the bytes live beside the job, never in it.
 */

import type { BuildSettings } from '../build-plan/types'
import type { ClearanceSettings } from '../clearance/types'
import type { DatumSetting } from '../datum/types'
import type { Chase, SeatSettings } from '../fitting/seat-types'
import type { FittingUse, PeopleSettings, VesselSettings } from '../fitting/settings'
import type { Wire } from '../fitting/wire-settings'
import type { FastenerPitch } from '../frame/types'
import type { Matrix4, Point } from '../geometry/axes'
import { plainWords, Refused } from '../geometry/trouble'
import type { FileRegister, LengthUnit, Repair } from '../scan/types'
import type { ToolingSettings } from '../tooling/types'
import { canonicalJson, hashOf } from './canonical'
import { type JobFile, jobSchema } from './schema'

export interface MeshAsset {
  readonly asset: string
  readonly name: string
  /** The STEP file that this mesh was tessellated from. The mesh is the job's; the original is known by its hash. */
  readonly original?:
    | {
        readonly name: string
        /** Hex. */
        readonly sha256: string
        readonly faces: number
        readonly facesRead: number
      }
    | undefined
}

export interface TubeMark {
  readonly name?: string
  readonly role: 'clear' | 'bearing'
  readonly gap_mm: number | null
  readonly fasteners?: FastenerPitch | undefined
}

export interface FittingEntry extends FittingUse {
  readonly id: string
  readonly name: string
  readonly mesh: MeshAsset
  readonly unit: 'auto' | LengthUnit
  readonly on: 'topside' | 'underside'
  readonly at_mm: readonly [number, number]
  readonly turn_deg: number
  readonly upright: boolean
  readonly mirror: false | 'geometry' | 'position'
  readonly baseNormal: Point<'part'> | null
  readonly mass_kg: number | null
  readonly comment: string
  readonly seat: SeatSettings
}

/** A remark of one person, pinned to a place or a fitting. Travels in the job; changes nothing that is worked out. */
export interface JobComment {
  readonly id: string
  readonly author: string
  readonly text: string
  readonly state: 'open' | 'settled'
  /** ISO 8601. */
  readonly at: string
  readonly where: Point<'job'> | null
  readonly fitting: string | null
}

/** A mesh that is taken as a shell instead of a drawn one. */
export interface ImportedEntry {
  readonly mesh: MeshAsset
  readonly unit: 'auto' | LengthUnit
  readonly axes: 'job' | 'scan'
  /** Rigid motion applied first, row by row, mm. */
  readonly matrix: Matrix4 | null
}

/** A scan of a mould or part, to be held against the planned face. */
export interface AsMadeEntry {
  readonly mesh: MeshAsset
  readonly unit: 'auto' | LengthUnit
  readonly against: 'underside' | 'topside'
  readonly of: 'part' | 'mould'
  readonly start: 'any' | 'near'
  readonly tolerance_mm: number
}

export interface ShellChoice {
  readonly imported: { readonly underside: ImportedEntry | null; readonly topside: ImportedEntry | null }
  readonly approach: { readonly fromAhead_deg: number; readonly fromPort_deg: number } | null
}

export type Role = 'designer' | 'owner' | 'toolmaker'

export interface Waiver {
  readonly finding: string
  readonly by: string
  readonly reason: string
  readonly at: string
}

export interface Signature {
  readonly role: Role
  readonly name: string
  readonly at: string
  readonly covers: string
  readonly figures: Readonly<Record<string, number | string>>
  /** Made with the person's own key; null: a name alone. */
  readonly seal: SignatureSeal | null
}

export interface SignatureSeal {
  readonly algorithm: 'Ed25519' | 'ECDSA-P256'
  /** Raw public key and signature over `signedText`, base64url. */
  readonly publicKey: string
  readonly value: string
}

/** A release that was written. */
export interface Revision {
  readonly revision: string
  readonly at: string
  readonly jobHash: string
  readonly contentHash: string
  readonly signedBy: readonly string[]
  readonly figures: Readonly<Record<string, number>>
  readonly planned: Readonly<Record<string, unknown>>
}

export interface Job {
  readonly format: 'mouldwright-job'
  readonly version: 1
  readonly title: string
  readonly scan: {
    readonly files: readonly MeshAsset[]
    /** One per file after the first; left out: all share their axes. */
    readonly register?: readonly FileRegister[] | undefined
    readonly unit: 'auto' | LengthUnit
    readonly repairs: readonly Repair[]
    readonly noise_mm: number | null
  }
  readonly frame: { readonly tubes: Readonly<Record<string, TubeMark>> }
  readonly datum: DatumSetting
  readonly clearance: ClearanceSettings & ShellChoice
  readonly fittings: readonly FittingEntry[]
  readonly chases: readonly Chase[]
  readonly wires: readonly Wire[]
  readonly asMade: readonly AsMadeEntry[]
  readonly analysis: { readonly minDraft_deg: number | null; readonly radiusLimit_mm: number }
  readonly tooling: ToolingSettings
  readonly build: BuildSettings
  readonly people: PeopleSettings
  readonly vessel: VesselSettings
  readonly comments: readonly JobComment[]
  readonly release: {
    readonly revision: string
    readonly waivers: readonly Waiver[]
    readonly signatures: readonly Signature[]
    readonly revisions: readonly Revision[]
  }
}

/** Reads the text of a `job.json`. @throws Refused `job-invalid` with the first thing that is wrong and where. */
export function parseJobText(text: string): JobFile {
  let raw: unknown
  try {
    raw = JSON.parse(text)
  } catch (error) {
    // The engine quotes the text that it stumbled over, line ends and all; what it says before that is enough.
    const why = error instanceof Error ? plainWords(error.message.replace(/,?\s*(\.{3})?".*$/s, ''), 200) : ''
    throw new Refused(
      'job-invalid',
      `The job is not valid JSON${why && ` (${why})`}; repair the file or save the job again.`,
    )
  }
  return parseJobValue(raw)
}

/** @throws Refused `job-invalid` */
export function parseJobValue(raw: unknown): JobFile {
  if (typeof raw !== 'object' || raw === null || Array.isArray(raw))
    throw new Refused(
      'job-invalid',
      'The job is not a JSON object; a job begins with { "format": "mouldwright-job", "version": 1, … }.',
    )
  const head = raw as { format?: unknown; version?: unknown }
  if (head.format !== 'mouldwright-job')
    throw new Refused('job-invalid', 'This JSON is not a job: "format" must be "mouldwright-job".')
  if (typeof head.version === 'number' && head.version > 1)
    throw new Refused(
      'job-invalid',
      `This job is of version ${head.version}, newer than this program (version 1); open it with a newer Mouldwright.`,
    )
  const parsed = jobSchema.safeParse(raw)
  if (parsed.success) return parsed.data
  const issue = parsed.error.issues[0]
  throw new Refused('job-invalid', `The job cannot be read: ${issue ? describeIssue(issue) : 'unknown fault'}.`)
}

function describeIssue(issue: { code: string; path: PropertyKey[]; message: string; keys?: string[] }): string {
  const at = issue.path.length > 0 ? plainWords(issue.path.map(String).join('.'), 120) : 'the job'
  if (issue.code === 'unrecognized_keys') {
    const keys = (issue.keys ?? []).slice(0, 4).map((k) => `"${plainWords(k, 40)}"`)
    return `${at} has an unknown key ${keys.join(', ')}; remove it or correct its spelling`
  }
  if (/received undefined$/.test(issue.message)) return `${at} is missing`
  const why = plainWords(issue.message, 200).replace(/\bnull\b/g, 'nothing')
  return `${at}: ${why.charAt(0).toLowerCase()}${why.slice(1)}`
}

/**
 * Turns a parsed file into a job: every mesh becomes an asset, every fitting has an id.
 *
 * @param adopt gives the asset of a mesh that the file names by a path
 */
export function adoptJob(file: JobFile, adopt: (path: string) => MeshAsset): Job {
  const asAsset = (reference: string | MeshAsset): MeshAsset =>
    typeof reference === 'string'
      ? adopt(reference)
      : {
          asset: reference.asset,
          name: reference.name,
          ...(reference.original ? { original: reference.original } : {}),
        }
  const taken = new Set(file.fittings.flatMap((f) => (f.id === undefined ? [] : [f.id])))
  if (taken.size < file.fittings.filter((f) => f.id !== undefined).length)
    throw new Refused('job-invalid', 'The job cannot be read: two fittings have the same id; give each its own.')
  return {
    ...file,
    scan: { ...file.scan, files: file.scan.files.map(asAsset) },
    frame: { tubes: file.frame.tubes as Job['frame']['tubes'] },
    datum: file.datum as { matrix: 'auto' | Matrix4 } & DatumSetting,
    // A wire once had one chase at most.
    wires: file.wires.map(({ chase, ...w }) => ({
      ...w,
      chases: w.chases.length === 0 && typeof chase === 'string' ? [chase] : w.chases,
    })),
    asMade: file.asMade.map((entry) => ({ ...entry, mesh: asAsset(entry.mesh) })),
    clearance: {
      ...file.clearance,
      imported: {
        underside: adoptShell(file.clearance.imported.underside, asAsset),
        topside: adoptShell(file.clearance.imported.topside, asAsset),
      },
    },
    fittings: file.fittings.map((f) => ({
      ...f,
      id: f.id ?? freshId(f.name, taken),
      mesh: asAsset(f.mesh),
      mirror: f.mirror === true ? 'geometry' : f.mirror,
    })),
  }
}

function adoptShell(
  entry: JobFile['clearance']['imported']['underside'],
  asAsset: (reference: string | MeshAsset) => MeshAsset,
): ImportedEntry | null {
  return entry && { ...entry, mesh: asAsset(entry.mesh) }
}

/** Every mesh that a job file names, by path or as an asset. */
export function meshesNamed(file: JobFile): readonly (string | MeshAsset)[] {
  const { underside, topside } = file.clearance.imported
  return [
    ...file.scan.files,
    ...file.fittings.map((f) => f.mesh),
    ...[underside, topside].flatMap((shell) => (shell ? [shell.mesh] : [])),
    ...file.asMade.map((made) => made.mesh),
  ]
}

/** A readable id that is not taken yet; adds it to `taken`. */
export function freshId(name: string, taken: Set<string>): string {
  const stem =
    name
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-|-$/g, '')
      .slice(0, 40) || 'fitting'
  let id = stem
  for (let n = 2; taken.has(id); n++) id = `${stem}-${n}`
  taken.add(id)
  return id
}

/** Every mesh the job names, each once. */
export function assetsOf(job: Job): readonly MeshAsset[] {
  const all = new Map<string, MeshAsset>()
  const { underside, topside } = job.clearance.imported
  const shells = [underside, topside].flatMap((shell) => (shell ? [shell.mesh] : []))
  const made = job.asMade.map((entry) => entry.mesh)
  for (const a of [...job.scan.files, ...job.fittings.map((f) => f.mesh), ...shells, ...made])
    if (!all.has(a.asset)) all.set(a.asset, a)
  return [...all.values()]
}

/** Hash of what is planned: the whole job less what people say, sign and waive about it. */
export const jobHash = (job: Job): string => hashOf(plannedOf(job))

/** The job less what people say, sign and waive about it. */
export function plannedOf(job: Job): Omit<Job, 'release' | 'comments'> {
  const { release: _, comments: _comments, ...planned } = job
  return planned
}

/** What a key signs: one spelling of everything the signature says. */
export const signedText = ({ role, name, at, covers, figures }: Omit<Signature, 'seal'>): string =>
  canonicalJson({ format: 'mouldwright-signature', version: 1, role, name, at, covers, figures })

/**
 * The text of `job.json`: two blanks of indent, one newline at the end. The same job gives the same bytes whatever edits led
 * to it: keys stand in the order of the schema, names that people gave in the order of the alphabet.
 */
export function jobText(job: Job): string {
  const file = jobSchema.parse(job)
  const { frame, release } = file
  const ordered = {
    ...file,
    frame: { ...frame, tubes: byName(frame.tubes) },
    release: {
      ...release,
      signatures: release.signatures.map((s) => ({ ...s, figures: byName(s.figures) })),
      revisions: release.revisions.map((r) => ({ ...r, figures: byName(r.figures), planned: byName(r.planned) })),
    },
  }
  return `${JSON.stringify(ordered, null, 2)}\n`
}

/** In the order of code units, at every depth: the same in every engine and language. */
function byName<T>(value: T): T {
  if (Array.isArray(value)) return value.map(byName) as T
  if (typeof value !== 'object' || value === null) return value
  const entries = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0))
  return Object.fromEntries(entries.map(([key, v]) => [key, byName(v)])) as T
}
