import { canonicalJson, sha256Hex } from '../job'
import type { PackFile } from './types'

export interface ManifestFile {
  readonly path: string
  readonly bytes: number
  readonly sha256: string
}

export interface Manifest {
  readonly format: 'mouldwright-pack'
  readonly version: 1
  /** Name and version of the program, and of the job's form. */
  readonly program: string
  readonly jobVersion: number
  readonly revision: string
  readonly jobHash: string
  /** What the pack says, seconds of work left out: equal for equal jobs, whoever made the pack and how long it took. */
  readonly contentHash: string
  readonly files: readonly ManifestFile[]
}

/** Names that the seal adds; `SHA256SUMS` lists all but these two, the manifest all but itself. */
export const SUMS = 'SHA256SUMS'
export const MANIFEST = 'manifest.json'

export interface SealWords {
  readonly program: string
  readonly jobVersion: number
  readonly revision: string
  readonly jobHash: string
}

/** A pack of some tens of megabytes is listed three times; each file is hashed once. */
const digests = new WeakMap<Uint8Array, string>()

/** SHA-256 of bytes, hex. */
export type Hash = (bytes: Uint8Array) => string

function digest(bytes: Uint8Array, hash: Hash): string {
  const known = digests.get(bytes) ?? hash(bytes)
  digests.set(bytes, known)
  return known
}

/** @param hash of hosts that have a faster one than core */
export const listed = (files: readonly PackFile[], hash: Hash = sha256Hex): ManifestFile[] =>
  files
    .map((f) => ({ path: f.path, bytes: f.bytes.length, sha256: digest(f.bytes, hash) }))
    .sort((a, b) => (a.path < b.path ? -1 : 1))

/**
 * Closes a pack: `SHA256SUMS` in the form that `sha256sum -c` reads, and the manifest, which lists that file too.
 *
 * @param files every other file, each path once
 * @throws a defect if a path comes twice or is one of the seal's own
 */
export function sealed(files: readonly PackFile[], words: SealWords): PackFile[] {
  const paths = new Set<string>([SUMS, MANIFEST])
  for (const { path } of files) {
    if (paths.has(path)) throw new Error(`release: ${path} is written twice`)
    paths.add(path)
  }
  const text = (path: string, content: string): PackFile => ({ path, bytes: new TextEncoder().encode(content) })
  const entries = listed(files)
  const sums = text(SUMS, entries.map((f) => `${f.sha256}  ${f.path}\n`).join(''))
  const manifest: Manifest = {
    format: 'mouldwright-pack',
    version: 1,
    ...words,
    contentHash: contentHash(files, entries),
    files: [...entries, ...listed([sums])].sort((a, b) => (a.path < b.path ? -1 : 1)),
  }
  return [...files, sums, text(MANIFEST, `${JSON.stringify(manifest, null, 2)}\n`)]
}

/** Hash of all paths and contents; `report.json` counts without its `timings_s` (docs/decisions/0003). */
export function contentHash(files: readonly PackFile[], entries = listed(files)): string {
  const report = files.find((f) => f.path === 'report.json')
  const lines = entries.map((f) =>
    report && f.path === 'report.json' ? { ...f, bytes: 0, sha256: untimedHash(report.bytes) } : f,
  )
  return sha256Hex(new TextEncoder().encode(canonicalJson(lines)))
}

function untimedHash(bytes: Uint8Array): string {
  const { timings_s: _, ...rest } = JSON.parse(new TextDecoder().decode(bytes)) as Record<string, unknown>
  return sha256Hex(new TextEncoder().encode(canonicalJson(rest)))
}
