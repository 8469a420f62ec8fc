/**
 * A job as one file (`.mwjob`): a zip of `job.json` and `assets/<sha256>`. The same job gives the same bytes.
 */
import { type Unzipped, unzipSync, type Zippable, zipSync } from 'fflate'
import { plainWords, Refused } from '../geometry/trouble'
import { sha256Hex } from './canonical'
import { adoptJob, assetsOf, type Job, jobText, parseJobText } from './job'

export interface OpenedJob {
  readonly job: Job
  /** Bytes by SHA-256. */
  readonly assets: Map<string, Uint8Array>
}

/** Largest unpacked job, bytes: a zip that claims more is refused before anything is unpacked. */
const UNPACKED_LIMIT = 3e9

const ASSET_PATH = /^assets\/([0-9a-f]{64})$/

/** fflate writes local time parts into the zip; this moment has the same parts in every time zone. */
export const zipTime = (): Date => new Date(1980, 0, 1)

/** True if the bytes begin like a zip. */
export const looksLikeZip = (bytes: Uint8Array): boolean =>
  bytes.length > 3 && bytes[0] === 0x50 && bytes[1] === 0x4b && (bytes[2] === 3 || bytes[2] === 5)

/**
 * @param hash SHA-256 of bytes, hex; a host with a faster one than core's hands it in
 * @throws Refused `job-invalid` or `asset-missing`, in one sentence
 */
export function readJobZip(bytes: Uint8Array, hash: (bytes: Uint8Array) => string = sha256Hex): OpenedJob {
  const files = unpack(bytes)
  const text = files['job.json']
  if (!text)
    throw new Refused(
      'job-invalid',
      'This zip holds no job.json, so it is not a Mouldwright job; choose a file that ends in .mwjob.',
    )
  const assets = new Map<string, Uint8Array>()
  const job = adoptJob(parseJobText(new TextDecoder().decode(text)), (path) => {
    const found = files[path]
    if (!found)
      throw new Refused(
        'asset-missing',
        `The job names the mesh "${path}", but the file does not hold it; add it and save the job again.`,
      )
    const asset = hash(found)
    assets.set(asset, found)
    return { asset, name: path.split('/').at(-1) ?? path }
  })
  for (const wanted of assetsOf(job)) {
    if (assets.has(wanted.asset)) continue
    const found = files[`assets/${wanted.asset}`]
    if (!found)
      throw new Refused(
        'asset-missing',
        `The job’s mesh "${wanted.name}" is missing from the file; save the job again from where it was made.`,
      )
    if (hash(found) !== wanted.asset)
      throw new Refused(
        'job-invalid',
        `The mesh "${wanted.name}" in the file is not the one the job was made with (its SHA-256 differs); do not use this file.`,
      )
    assets.set(wanted.asset, found)
  }
  return { job, assets }
}

/** @throws Refused `asset-missing` */
export function writeJobZip(job: Job, assets: ReadonlyMap<string, Uint8Array>): Uint8Array {
  if (job.scan.files.length === 0)
    throw new Refused('asset-missing', 'There is no scan in this job yet, so there is nothing to save; add one first.')
  const files: Zippable = { 'job.json': [new TextEncoder().encode(jobText(job)), { mtime: zipTime(), level: 6 }] }
  for (const { asset, name } of [...assetsOf(job)].sort((a, b) => (a.asset < b.asset ? -1 : 1))) {
    const bytes = assets.get(asset)
    if (!bytes)
      throw new Refused(
        'asset-missing',
        `The mesh "${name}" is not here, so the job cannot be saved whole; add its file again.`,
      )
    files[`assets/${asset}`] = [bytes, { mtime: zipTime(), level: 6 }]
  }
  return zipSync(files)
}

function unpack(bytes: Uint8Array): Unzipped {
  let total = 0
  try {
    return unzipSync(bytes, {
      filter: (file) => {
        if (file.name !== 'job.json' && !ASSET_PATH.test(file.name) && /(^|\/)\.\.(\/|$)|^\/|\\/.test(file.name))
          throw new Refused(
            'job-invalid',
            `The job holds a file with an unsafe path ("${plainWords(file.name, 60)}"); do not use it.`,
          )
        total += file.originalSize
        if (total > UNPACKED_LIMIT)
          throw new Refused(
            'too-large',
            'The job unpacks to more than 3 GB; thin its scan before it is saved into a job.',
          )
        return true
      },
    })
  } catch (error) {
    if (error instanceof Refused) throw error
    throw new Refused(
      'job-invalid',
      'The job file is damaged: the zip cannot be unpacked; fetch it again or open an earlier copy.',
    )
  }
}
