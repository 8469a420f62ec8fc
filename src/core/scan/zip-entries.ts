/**
 * Reads a zip archive in small portions: the table of contents first, then only the wanted entries, inflated piece by piece,
 * so that a lying size or a bomb (1 kB that unpacks to a gigabyte) is met by a budget and not by the memory.
 */
import { Inflate } from 'fflate'
import type { Steps } from '../geometry/kernel'
import { type MeshFile, refuse, word32, words } from './raw-mesh'

export interface ZipEntry {
  readonly name: string
  readonly method: number
  readonly packed: number
  /** As declared; not to be trusted. */
  readonly size: number
  /** Where its local header stands. */
  readonly at: number
}

/** @throws Refused `file-damaged` if there is no table of contents (a cut archive has lost it: it stands at the end) */
export function zipEntries(file: MeshFile): ZipEntry[] {
  const { bytes } = file
  let end = bytes.length - 22
  const stop = Math.max(0, bytes.length - 22 - 65_535)
  while (end >= stop && word32(bytes, end) !== 0x06054b50) end--
  if (end < stop)
    refuse(
      'file-damaged',
      file,
      'is an archive without its table of contents: it was cut off; copy or export it again.',
    )
  const count = word16(bytes, end + 10)
  let at = word32(bytes, end + 16)
  const entries: ZipEntry[] = []
  for (let i = 0; i < count; i++) {
    if (at + 46 > bytes.length || word32(bytes, at) !== 0x02014b50)
      refuse('file-damaged', file, 'has a table of contents that cannot be read; copy or export it again.')
    const nameLength = word16(bytes, at + 28)
    const extraLength = word16(bytes, at + 30)
    const entry = {
      name: new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + nameLength)),
      method: word16(bytes, at + 10),
      packed: word32(bytes, at + 20),
      size: word32(bytes, at + 24),
      at: word32(bytes, at + 42),
    }
    if (word16(bytes, at + 8) & 1) refuse('file-unsupported', file, 'is locked with a password; save it without one.')
    if (entry.packed === 0xffffffff || entry.at === 0xffffffff || entry.size === 0xffffffff)
      Object.assign(entry, zip64(bytes, at + 46 + nameLength, extraLength, entry))
    entries.push(entry)
    at += 46 + nameLength + extraLength + word16(bytes, at + 32)
  }
  return entries
}

/** The long numbers of an entry: only those that did not fit their places stand here, in this order. */
function zip64(bytes: Uint8Array, from: number, length: number, entry: ZipEntry): Partial<ZipEntry> {
  let at = from
  while (at + 4 <= from + length) {
    const size = word16(bytes, at + 2)
    if (word16(bytes, at) === 1) {
      let next = at + 4
      const long = (value: number) => {
        if (value !== 0xffffffff) return value
        next += 8
        return word32(bytes, next - 8) + word32(bytes, next - 4) * 4294967296
      }
      return { size: long(entry.size), packed: long(entry.packed), at: long(entry.at) }
    }
    at += 4 + size
  }
  return {}
}

/**
 * The bytes of an entry.
 *
 * @param budget bytes that it may unpack to
 * @throws Refused `too-large` beyond the budget, `file-damaged`
 */
export function* unzipped(file: MeshFile, entry: ZipEntry, budget: number): Steps<Uint8Array> {
  const { bytes } = file
  const name = entry.name.slice(0, 60)
  const head = entry.at
  if (head + 30 > bytes.length || word32(bytes, head) !== 0x04034b50)
    refuse('file-damaged', file, `has no "${name}" where its table of contents says; copy or export it again.`)
  const start = head + 30 + word16(bytes, head + 26) + word16(bytes, head + 28)
  const end = start + entry.packed
  if (end > bytes.length) refuse('file-damaged', file, `is cut off inside "${name}"; copy or export it again.`)
  if (entry.method === 0) {
    if (entry.packed > budget) tooLarge()
    return bytes.subarray(start, end)
  }
  if (entry.method !== 8)
    refuse('file-unsupported', file, `packs "${name}" by a method that is not read; save it again.`)

  const pieces: Uint8Array[] = []
  let size = 0
  const inflate = new Inflate((piece) => {
    size += piece.length
    pieces.push(piece.slice())
  })
  for (let at = start; at < end; at += PORTION) {
    const to = Math.min(end, at + PORTION)
    try {
      inflate.push(bytes.subarray(at, to), to === end)
    } catch {
      refuse('file-damaged', file, `has a "${name}" that cannot be unpacked; copy or export it again.`)
    }
    if (size > budget) tooLarge()
    yield (at - start) / Math.max(1, entry.packed)
  }
  const out = new Uint8Array(size)
  let at = 0
  for (const piece of pieces) {
    out.set(piece, at)
    at += piece.length
  }
  return out

  function tooLarge(): never {
    return refuse(
      'too-large',
      file,
      `unpacks "${name}" to more than ${words(budget)} bytes; export it with fewer facets.`,
    )
  }
}

/** Packed bytes between two looks at the budget: at most 1032 times as many come out. */
const PORTION = 16_384

const word16 = (b: Uint8Array, at: number): number => b[at]! | (b[at + 1]! << 8)
