/** Files off the disk, slice by slice: a scan of half a gigabyte must not keep the page still, nor be there twice. */
import { Refused } from '../core/geometry/trouble'
import { sha256InPieces } from '../core/job'

export interface FileRead {
  readonly name: string
  readonly bytes: Uint8Array
  /** SHA-256, hex, taken while it was read. */
  readonly sha256: string
}

/** Hashed in about 20 ms. */
const SLICE_BYTES = 1 << 22

/**
 * @param onProgress share of the file that has been read, after every slice
 * @throws Refused `too-large` where the browser has no room for it; DOMException where the file cannot be read
 */
export async function readFile(file: File, onProgress: (fraction: number) => void = () => {}): Promise<FileRead> {
  const bytes = roomFor(file)
  const hash = sha256InPieces()
  for (let at = 0; at < bytes.length; at += SLICE_BYTES) {
    const slice = new Uint8Array(await file.slice(at, at + SLICE_BYTES).arrayBuffer())
    bytes.set(slice, at)
    hash.add(slice)
    onProgress(Math.min(1, (at + SLICE_BYTES) / bytes.length))
  }
  return { name: file.name, bytes, sha256: hash.hex() }
}

function roomFor({ name, size }: File): Uint8Array {
  try {
    return new Uint8Array(size)
  } catch {
    throw new Refused(
      'too-large',
      `${name} has ${(size / 1e6).toFixed(0)} MB, for which the browser has no room; close other pages, or export it with fewer facets.`,
    )
  }
}
