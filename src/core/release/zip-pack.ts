import { unzipSync, Zip, ZipDeflate } from 'fflate'
import type { Steps } from '../geometry/kernel'
import { Refused } from '../geometry/trouble'
import { zipTime } from '../job'
import type { PackFile } from './types'

/** Bytes that are packed between two yields: about 20 ms of work. */
const CHUNK = 1 << 20

/** The files of a pack as one zip, in chunks so that a page stays alive. The same files give the same bytes. */
export function* zipPack(files: readonly PackFile[]): Steps<Uint8Array> {
  const parts: Uint8Array[] = []
  const zip = new Zip((error, part) => {
    if (error) throw error
    parts.push(part)
  })
  const total = files.reduce((sum, f) => sum + f.bytes.length, 0) || 1
  let done = 0
  for (const { path, bytes } of files) {
    const entry = new ZipDeflate(path, { level: 3 })
    entry.mtime = zipTime()
    zip.add(entry)
    for (let from = 0; ; from += CHUNK) {
      const to = Math.min(bytes.length, from + CHUNK)
      entry.push(bytes.subarray(from, to), to === bytes.length)
      done += to - from
      yield { fraction: done / total, label: path }
      if (to === bytes.length) break
    }
  }
  zip.end()
  const packed = new Uint8Array(parts.reduce((sum, p) => sum + p.length, 0))
  let at = 0
  for (const part of parts) {
    packed.set(part, at)
    at += part.length
  }
  return packed
}

/** Largest unpacked pack, bytes. */
const UNPACKED_LIMIT = 3e9

/** @throws Refused `file-damaged` or `too-large` */
export function readPackZip(bytes: Uint8Array): readonly PackFile[] {
  let total = 0
  try {
    const files = unzipSync(bytes, {
      filter: ({ originalSize, name }) => {
        total += originalSize
        if (total > UNPACKED_LIMIT)
          throw new Refused('too-large', 'The pack unpacks to more than 3 GB, which no pack does; do not use it.')
        return !name.endsWith('/')
      },
    })
    return Object.entries(files).map(([path, content]) => ({ path, bytes: content }))
  } catch (error) {
    if (error instanceof Refused) throw error
    throw new Refused('file-damaged', 'The zip cannot be unpacked; fetch the pack again.')
  }
}
