/** All that the command line knows of the disk. */
import { createHash } from 'node:crypto'
import { existsSync, statSync } from 'node:fs'
import { chmod, mkdir, mkdtemp, readFile, rename, rm, writeFile } from 'node:fs/promises'
import { basename, dirname, join, resolve } from 'node:path'
import { Refused } from '../core/geometry/trouble'
import {
  adoptJob,
  looksLikeZip,
  type MeshAsset,
  meshesNamed,
  type OpenedJob,
  parseJobText,
  readJobZip,
} from '../core/job'
import type { PackFile } from '../core/release'
import { meshBytes } from './step-files'

export const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex')

/** @throws Refused `asset-missing` in one sentence when the file is not there or cannot be read */
export async function readBytes(path: string): Promise<Uint8Array> {
  try {
    const bytes = await readFile(path)
    // A small Buffer is a window into a shared pool; the readers take the array as it is.
    return new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code
    const why =
      code === 'ENOENT'
        ? 'there is no such file'
        : code === 'EISDIR'
          ? 'it is a folder'
          : `it cannot be read (${code ?? 'unknown'})`
    throw new Refused('asset-missing', `${path}: ${why}; check the path.`)
  }
}

/** Opens a `.mwjob` file, a folder with a `job.json`, or a `job.json`. @throws Refused */
export async function openJob(path: string): Promise<OpenedJob> {
  if (!existsSync(path))
    throw new Refused('job-invalid', `${path}: there is no such job; give a .mwjob file, a folder, or a job.json.`)
  const file = statSync(path).isDirectory() ? join(path, 'job.json') : path
  if (!existsSync(file))
    throw new Refused('job-invalid', `${path}: the folder holds no job.json; give the folder of a job.`)
  const bytes = await readBytes(file)
  if (looksLikeZip(bytes)) return readJobZip(bytes, sha256)
  return openJobText(new TextDecoder().decode(bytes), dirname(file))
}

async function openJobText(text: string, folder: string): Promise<OpenedJob> {
  const parsed = parseJobText(text)
  const assets = new Map<string, Uint8Array>()
  const byPath = new Map<string, MeshAsset>()
  for (const reference of meshesNamed(parsed)) {
    if (typeof reference === 'string') {
      if (byPath.has(reference)) continue
      const { bytes, ...from } = await meshBytes(reference, await readBytes(resolve(folder, reference)))
      const asset = sha256(bytes)
      assets.set(asset, bytes)
      byPath.set(reference, { asset, name: basename(reference), ...from })
    } else if (!assets.has(reference.asset)) {
      const bytes = await readBytes(join(folder, 'assets', reference.asset))
      if (sha256(bytes) !== reference.asset)
        throw new Refused(
          'job-invalid',
          `assets/${reference.asset} ("${reference.name}") is not the mesh the job was made with (its SHA-256 differs); restore it.`,
        )
      assets.set(reference.asset, bytes)
    }
  }
  return { job: adoptJob(parsed, (p) => byPath.get(p)!), assets }
}

/**
 * Writes a pack into a folder, whole or not at all: everything goes into a folder beside it first, and only when the last
 * byte is on disk do the files move in. Files of an earlier pack with the same names are replaced; others are left alone.
 *
 * @throws Refused `setting-impossible` when the folder cannot be written
 */
export async function writeWhole(folder: string, files: readonly PackFile[]): Promise<void> {
  let draft: string | null = null
  try {
    const target = resolve(folder)
    await mkdir(dirname(target), { recursive: true })
    draft = await mkdtemp(`${target}.draft-`)
    await chmod(draft, 0o755)
    for (const file of files) {
      const to = join(draft, file.path)
      await mkdir(dirname(to), { recursive: true })
      await writeFile(to, file.bytes)
    }
    if (!existsSync(target)) {
      await rename(draft, target)
      return
    }
    for (const file of files) {
      await mkdir(dirname(join(target, file.path)), { recursive: true })
      await rename(join(draft, file.path), join(target, file.path))
    }
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code
    if (!code) throw error
    throw new Refused('setting-impossible', `${folder}: the pack cannot be written (${code}); choose another folder.`)
  } finally {
    if (draft) await rm(draft, { recursive: true, force: true })
  }
}
