/** What a reader makes of a file, before units, welding and checks; and the words in which readers refuse. */
import { type RefusalCode, Refused } from '../geometry/trouble'
import type { LengthUnit, Rejected } from './types'

export type MeshFormat = 'stl-binary' | 'stl-ascii' | 'obj' | 'ply' | 'glb' | 'gltf' | '3mf'

export interface RawMesh {
  readonly format: MeshFormat
  /** The unit that the file states; `null` where the format has none. Points are in it (unscaled). */
  readonly unit: LengthUnit | null
  /** Three per point, in the axes of the file (z up where the format lays that down). May hold NaN in indexed meshes. */
  readonly points: Float32Array | Float64Array
  /** Three per facet; `null`: each three points are a facet. May be out of range: `assemble` counts those. */
  readonly indices: Uint32Array | null
  /** What the reader had to leave out by itself. */
  readonly rejected: Rejected
  /** Oddities that did not hinder reading, each one sentence for a finding. */
  readonly notes: readonly string[]
}

export const NONE_REJECTED: Rejected = { total: 0, notFinite: 0, zeroArea: 0, duplicate: 0, badIndex: 0 }

export function addRejected(a: Rejected, b: Partial<Rejected>): Rejected {
  const sum = {
    notFinite: a.notFinite + (b.notFinite ?? 0),
    zeroArea: a.zeroArea + (b.zeroArea ?? 0),
    duplicate: a.duplicate + (b.duplicate ?? 0),
    badIndex: a.badIndex + (b.badIndex ?? 0),
  }
  return { total: sum.notFinite + sum.zeroArea + sum.duplicate + sum.badIndex, ...sum }
}

/**
 * More facets than this are refused before anything is allocated. Each costs about 75 bytes on the way to a mesh; repeated
 * instances can ask for any number from a small file.
 */
export const MOST_FACETS = 40_000_000
/** The same for points that instances place: 24 bytes each. */
export const MOST_POINTS = 30_000_000

/** @throws Refused; `sentence` continues the file's name: "… is cut off: …; copy it again." */
export function refuse(code: RefusalCode, file: { readonly name: string }, sentence: string): never {
  throw new Refused(code, `${file.name} ${sentence}`)
}

/** A count for a sentence: 1,234,567. */
export const words = (n: number): string => String(n).replace(/\B(?=(\d{3})+$)/g, ',')

/** Little-endian word at `at`; unsigned. */
export const word32 = (b: Uint8Array, at: number): number =>
  (b[at]! | (b[at + 1]! << 8) | (b[at + 2]! << 16) | (b[at + 3]! << 24)) >>> 0

/** A short piece of a file for a sentence: printable, at most 24 characters. */
export function excerpt(bytes: Uint8Array, from: number, to: number): string {
  let out = ''
  for (let i = from; i < Math.min(to, from + 24); i++) {
    const c = bytes[i]!
    out += c >= 0x20 && c < 0x7f ? String.fromCharCode(c) : '?'
  }
  return to - from > 24 ? `${out}…` : out
}

export type { MeshFile } from './types'
