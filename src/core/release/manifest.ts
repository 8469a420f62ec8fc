import { sha256Hex } from '../job'
import type { PackFile } from './types'

export interface Manifest {
  readonly format: 'mouldwright-pack'
  readonly version: 1
  readonly program: string
  readonly jobHash: string
  readonly files: readonly { readonly path: string; readonly bytes: number; readonly sha256: string }[]
}

/** What the pack holds: size and SHA-256 of every file but the manifest itself, by path. */
export function manifestOf(files: readonly PackFile[], jobHash: string, program: string): Manifest {
  return {
    format: 'mouldwright-pack',
    version: 1,
    program,
    jobHash,
    files: files
      .map((f) => ({ path: f.path, bytes: f.bytes.length, sha256: sha256Hex(f.bytes) }))
      .sort((a, b) => (a.path < b.path ? -1 : 1)),
  }
}
