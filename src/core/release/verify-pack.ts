/**
 * Is a pack whole and the one that was signed? Every file against the manifest, the sums, the hash of the job, and the
 * signatures against what the job would have them cover.
 */

import { Refused } from '../geometry/trouble'
import { adoptJob, type Job, jobHash, parseJobText, type Role, type Signature } from '../job'
import { contentHash, listed, MANIFEST, type Manifest, SUMS } from './manifest'
import type { PackFile } from './types'

export interface VerifiedSignature {
  readonly role: Role
  readonly name: string
  readonly at: string
  /** What was signed is not what the job says now. */
  readonly lifted: boolean
  /** `null`: signed by name alone; else whether the key's seal holds. */
  readonly sealHolds: boolean | null
}

export interface Verified {
  /** What is wrong with the pack, one sentence each; none: it is whole. */
  readonly faults: readonly string[]
  readonly manifest: Manifest | null
  readonly job: Job | null
  readonly signatures: readonly VerifiedSignature[]
  /** Ids of holds that stand in the report. */
  readonly holds: readonly string[]
}

export interface VerifyHost {
  readonly coversNow: (job: Job, role: Role) => string
  /** Whether the seal of each signature holds, beforehand: keys are the host's. */
  readonly sealHolds: (signature: Signature) => boolean
}

/** The job of a pack, for the host to look at its seals first. @throws Refused `job-invalid` */
export function jobOfPack(files: readonly PackFile[]): Job {
  const job = files.find((f) => f.path === 'job.json')
  if (!job) throw new Refused('job-invalid', 'The pack holds no job.json, so it is not a pack; choose another.')
  return adoptJob(parseJobText(new TextDecoder().decode(job.bytes)), (path) => {
    throw new Refused('job-invalid', `The job in the pack names a mesh by its path ("${path}"); the pack was changed.`)
  })
}

export function verifyPack(files: readonly PackFile[], host: VerifyHost): Verified {
  const faults: string[] = []
  const manifest = json<unknown>(files, MANIFEST, faults)
  if (!isManifest(manifest)) {
    faults.push(`${MANIFEST} is not the manifest of a pack.`)
    return { faults, manifest: null, job: null, signatures: [], holds: [] }
  }
  faults.push(...fileFaults(files, manifest))
  let job: Job | null = null
  try {
    job = jobOfPack(files)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    faults.push(error.message)
  }
  const report = json<{ hash?: string; holds?: string[]; program?: string }>(files, 'report.json', faults)
  const hash = job && jobHash(job)
  if (hash && hash !== manifest.jobHash)
    faults.push(`The job is ${hash.slice(0, 8)}…, the manifest was written for ${manifest.jobHash.slice(0, 8)}….`)
  if (hash && report && report.hash !== hash)
    faults.push(`The report was written for the job ${String(report.hash).slice(0, 8)}…, not for ${hash.slice(0, 8)}….`)
  if (report && report.program !== manifest.program)
    faults.push(`${MANIFEST} and the report name different programs that wrote the pack.`)
  if (job && job.version !== manifest.jobVersion) faults.push(`${MANIFEST} states another version of the job.`)
  if (job && job.release.revision !== manifest.revision)
    faults.push(`The job is revision ${job.release.revision}, the manifest says ${manifest.revision}.`)
  const signatures = (job?.release.signatures ?? []).map((s) => ({
    role: s.role,
    name: s.name,
    at: s.at,
    lifted: s.covers !== host.coversNow(job!, s.role),
    sealHolds: s.seal === null ? null : host.sealHolds(s),
  }))
  for (const s of signatures)
    if (s.sealHolds === false)
      faults.push(`The signature of ${s.name} (${s.role}) does not fit its key: somebody changed it after it was made.`)
  return { faults, manifest, job, signatures, holds: report?.holds ?? [] }
}

/** Every key of a manifest is there and of its kind. */
function isManifest(value: unknown): value is Manifest {
  const { format, version, program, jobVersion, revision, jobHash, contentHash: content, files } = fieldsOf(value)
  return (
    format === 'mouldwright-pack' &&
    version === 1 &&
    typeof jobVersion === 'number' &&
    [program, revision, jobHash, content].every((text) => typeof text === 'string') &&
    Array.isArray(files) &&
    files
      .map(fieldsOf)
      .every((f) => typeof f['path'] === 'string' && typeof f['sha256'] === 'string' && typeof f['bytes'] === 'number')
  )
}

const fieldsOf = (value: unknown): Record<string, unknown> =>
  typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : {}

function fileFaults(files: readonly PackFile[], manifest: Manifest): string[] {
  const faults: string[] = []
  const entries = new Map(listed(files).map((f) => [f.path, f]))
  const named = new Set<string>([MANIFEST])
  for (const wanted of manifest.files) {
    named.add(wanted.path)
    const found = entries.get(wanted.path)
    if (!found) faults.push(`${wanted.path} is missing.`)
    else if (found.sha256 !== wanted.sha256 || found.bytes !== wanted.bytes)
      faults.push(
        `${wanted.path} is not the file that was written${found.bytes === wanted.bytes ? '' : ` (${found.bytes} bytes, ${wanted.bytes} were written)`}: its SHA-256 is ${found.sha256.slice(0, 8)}…, not ${wanted.sha256.slice(0, 8)}….`,
      )
  }
  for (const path of entries.keys()) if (!named.has(path)) faults.push(`${path} does not belong to the pack.`)
  const sums = files.find((f) => f.path === SUMS)
  const wanted = manifest.files.filter((f) => f.path !== SUMS).map((f) => `${f.sha256}  ${f.path}\n`)
  if (sums && new TextDecoder().decode(sums.bytes) !== wanted.join(''))
    faults.push(`${SUMS} and ${MANIFEST} do not say the same.`)
  const inside = files.filter((f) => f.path !== MANIFEST && f.path !== SUMS)
  if (faults.length === 0 && contentHash(inside) !== manifest.contentHash)
    faults.push(`${MANIFEST} states another content hash than its files have.`)
  return faults
}

function json<T>(files: readonly PackFile[], path: string, faults: string[]): T | null {
  const file = files.find((f) => f.path === path)
  if (!file) {
    if (path === MANIFEST) faults.push(`${path} is missing.`)
    return null
  }
  try {
    return JSON.parse(new TextDecoder().decode(file.bytes)) as T
  } catch {
    faults.push(`${path} is not valid JSON.`)
    return null
  }
}
