/** Breaks good files in the ways that files break: cut, flipped, repeated, spliced, and with numbers that ask for the moon. */
import type { Random } from './random'
import { concat } from './write-mesh-files'

const HUGE = [
  '0',
  '-1',
  '1',
  '255',
  '65536',
  '2147483647',
  '2147483648',
  '4294967295',
  '4294967296',
  '9007199254740993',
  '1e999',
  'nan',
  '-inf',
  '1,5',
  '',
]

const WAYS: readonly ((bytes: Uint8Array<ArrayBuffer>, rng: Random) => Uint8Array<ArrayBuffer>)[] = [
  function cut(b, rng) {
    return b.slice(0, rng.below(b.length))
  },
  function cutInHead(b, rng) {
    return b.slice(0, rng.below(Math.min(b.length, 400)))
  },
  function flipBits(b, rng) {
    for (let n = 1 + rng.below(8); n > 0; n--) b[rng.below(b.length)]! ^= 1 << rng.below(8)
    return b
  },
  function flipBytesInHead(b, rng) {
    for (let n = 1 + rng.below(6); n > 0; n--) b[rng.below(Math.min(b.length, 500))] = rng.below(256)
    return b
  },
  function randomBytes(b, rng) {
    for (let n = 1 + rng.below(40); n > 0; n--) b[rng.below(b.length)] = rng.below(256)
    return b
  },
  function repeatPiece(b, rng) {
    const [from, to] = piece(b, rng)
    return concat(b.slice(0, to), b.slice(from, to), b.slice(to))
  },
  function dropPiece(b, rng) {
    const [from, to] = piece(b, rng)
    return concat(b.slice(0, from), b.slice(to))
  },
  function zeroPiece(b, rng) {
    const [from, to] = piece(b, rng)
    return b.fill(rng.below(2) * 255, from, to)
  },
  function shufflePieces(b, rng) {
    const [from, to] = piece(b, rng)
    return concat(b.slice(to), b.slice(from, to), b.slice(0, from))
  },
  function hugeWord(b, rng) {
    if (b.length < 4) return b
    // A 32-bit number somewhere, mostly near the start, where counts stand.
    const at = rng.below(Math.max(1, (rng.next() < 0.6 ? Math.min(b.length, 300) : b.length) - 3))
    new DataView(b.buffer).setUint32(
      at,
      [0, 1, 0x7fffffff, 0x80000000, 0xffffffff, rng.below(0xffffffff)][rng.below(6)]!,
      true,
    )
    return b
  },
  hugeNumber,
  hugeNumber,
  function repeatWhole(b) {
    return concat(b, b)
  },
]

/** A run of digits of the text replaced by another number. */
function hugeNumber(b: Uint8Array<ArrayBuffer>, rng: Random): Uint8Array<ArrayBuffer> {
  const start = rng.below(b.length)
  for (let i = 0; i < b.length; i++) {
    const from = (start + i) % b.length
    if (b[from]! < 48 || b[from]! > 57) continue
    let to = from
    while (to < b.length && b[to]! >= 48 && b[to]! <= 57) to++
    return concat(b.slice(0, from), new TextEncoder().encode(HUGE[rng.below(HUGE.length)]!), b.slice(to))
  }
  return b
}

function piece(b: Uint8Array, rng: Random): [number, number] {
  const from = rng.below(b.length)
  return [from, Math.min(b.length, from + 1 + rng.below(Math.max(1, b.length >> rng.below(6))))]
}

/** A broken copy of a good file, with one to three kinds of damage. */
export function broken(good: Uint8Array, rng: Random): Uint8Array<ArrayBuffer> {
  let bytes = good.slice() as Uint8Array<ArrayBuffer>
  for (let n = 1 + rng.below(3); n > 0 && bytes.length > 0; n--) bytes = WAYS[rng.below(WAYS.length)]!(bytes, rng)
  return bytes
}
