/**
 * GLB: the whole in one file that any viewer opens. glTF 2.0 asks for metres and y up, so job axes (x forward, y to port, z
 * up, mm) become (x, z, −y) / 1000: a turn, not a mirror. (Khronos glTF 2.0.1, sections 3.4, 3.6 and 4.4.)
 */
import { BLOCK, type Steps } from '../../geometry/kernel'
import type { Mesh } from '../../geometry/mesh'
import type { Colour, PackPart } from '../parts'

export interface GlbWords {
  readonly title: string
  readonly program: string
}

interface Piece {
  readonly part: PackPart
  /** Metres, y up, three per vertex. */
  readonly positions: Float32Array
  readonly indices: Uint32Array
}

/**
 * @param parts job axes, mm; a part without facets is left out, and so are facets that name a vertex twice
 * @returns the file; positions are Float32 metres; no normals, hence flat shading as the format prescribes
 */
export function* writeGlb(parts: readonly PackPart[], words: GlbWords): Steps<Uint8Array> {
  const pieces: Piece[] = []
  for (const [i, part] of parts.entries()) {
    const indices = usable(part.mesh.indices)
    if (indices.length === 0) continue
    pieces.push({ part, positions: yield* metres(part.mesh), indices })
    yield { fraction: (0.7 * (i + 1)) / parts.length, label: part.name }
  }
  const json = new TextEncoder().encode(JSON.stringify(document(pieces, words)))
  const binary = pieces.reduce((sum, p) => sum + p.positions.byteLength + p.indices.byteLength, 0)
  const jsonLength = (json.length + 3) & ~3
  const file = new Uint8Array(12 + 8 + jsonLength + (binary > 0 ? 8 + binary : 0))
  const view = new DataView(file.buffer)
  for (const [k, word] of [MAGIC, 2, file.length, jsonLength, CHUNK_JSON].entries()) view.setUint32(4 * k, word, true)
  file.set(json, 20)
  file.fill(0x20, 20 + json.length, 20 + jsonLength)
  if (binary === 0) return file
  let at = 20 + jsonLength
  view.setUint32(at, binary, true)
  view.setUint32(at + 4, CHUNK_BIN, true)
  at += 8
  for (const { positions, indices } of pieces)
    for (const words32 of [positions, indices]) {
      at = yield* putWords(view, at, new Uint32Array(words32.buffer, words32.byteOffset, words32.length))
    }
  return file
}

const MAGIC = 0x46546c67
const CHUNK_JSON = 0x4e4f534a
const CHUNK_BIN = 0x004e4942
const FLOAT = 5126
const UNSIGNED_INT = 5125
const ARRAY_BUFFER = 34962
const ELEMENT_ARRAY_BUFFER = 34963

/** Little-endian whatever the machine. */
function* putWords(view: DataView, at: number, words: Uint32Array): Steps<number> {
  for (let from = 0; from < words.length; from += 64 * BLOCK) {
    const to = Math.min(words.length, from + 64 * BLOCK)
    for (let k = from; k < to; k++) view.setUint32(at + 4 * k, words[k]!, true)
    yield { fraction: 0.9, label: 'write' }
  }
  return at + 4 * words.length
}

function usable(indices: Uint32Array): Uint32Array {
  const kept = new Uint32Array(indices.length)
  let n = 0
  for (let f = 0; f < indices.length; f += 3) {
    const [a, b, c] = [indices[f]!, indices[f + 1]!, indices[f + 2]!]
    if (a === b || b === c || c === a) continue
    kept[n++] = a
    kept[n++] = b
    kept[n++] = c
  }
  return kept.slice(0, n)
}

function* metres({ positions: p, origin }: Mesh): Steps<Float32Array> {
  const out = new Float32Array(p.length)
  for (let from = 0; from < p.length; from += 32 * BLOCK * 3) {
    for (let v = from; v < Math.min(p.length, from + 32 * BLOCK * 3); v += 3) {
      out[v] = (p[v]! + origin[0]) / 1000
      out[v + 1] = (p[v + 2]! + origin[2]) / 1000
      out[v + 2] = -(p[v + 1]! + origin[1]) / 1000 + 0
    }
    yield { fraction: 0, label: 'metres' }
  }
  return out
}

function document(pieces: readonly Piece[], { title, program }: GlbWords): object {
  const bufferViews: object[] = []
  const accessors: object[] = []
  let at = 0
  for (const { positions, indices } of pieces) {
    bufferViews.push({ buffer: 0, byteOffset: at, byteLength: positions.byteLength, target: ARRAY_BUFFER })
    accessors.push({
      bufferView: bufferViews.length - 1,
      componentType: FLOAT,
      count: positions.length / 3,
      type: 'VEC3',
      ...box(positions),
    })
    at += positions.byteLength
    bufferViews.push({ buffer: 0, byteOffset: at, byteLength: indices.byteLength, target: ELEMENT_ARRAY_BUFFER })
    accessors.push({
      bufferView: bufferViews.length - 1,
      componentType: UNSIGNED_INT,
      count: indices.length,
      type: 'SCALAR',
    })
    at += indices.byteLength
  }
  const asset = { version: '2.0', generator: program }
  // The format forbids empty lists.
  if (pieces.length === 0) return { asset, scene: 0, scenes: [{ name: title }] }
  return {
    asset,
    scene: 0,
    scenes: [{ name: title, nodes: pieces.map((_, i) => i) }],
    nodes: pieces.map(({ part }, i) => ({ name: part.name, mesh: i, extras: { kind: part.kind } })),
    meshes: pieces.map(({ part }, i) => ({
      name: part.name,
      primitives: [{ attributes: { POSITION: 2 * i }, indices: 2 * i + 1, material: i, mode: 4 }],
    })),
    materials: pieces.map(({ part }) => ({
      name: part.name,
      pbrMetallicRoughness: {
        baseColorFactor: [...part.colour.map(linear), 1],
        metallicFactor: part.kind === 'frame' ? 0.6 : 0,
        roughnessFactor: 0.6,
      },
      doubleSided: !part.closed,
    })),
    bufferViews,
    accessors,
    buffers: [{ byteLength: at }],
  }
}

/** Exact least and largest of the Float32 values, as the format demands of positions. */
function box(positions: Float32Array): { min: number[]; max: number[] } {
  const min = [Infinity, Infinity, Infinity]
  const max = [-Infinity, -Infinity, -Infinity]
  for (let v = 0; v < positions.length; v += 3)
    for (let k = 0; k < 3; k++) {
      min[k] = Math.min(min[k]!, positions[v + k]!)
      max[k] = Math.max(max[k]!, positions[v + k]!)
    }
  return { min, max }
}

/**
 * A colour as light rather than as a screen's number, three digits. sRGB's own curve has a power of 2.4, which engines round
 * differently; the square of the shown value is within 0.04 of it and the same everywhere.
 */
const linear = (shown: Colour[number]): number => Math.round(1000 * (shown / 255) * (shown / 255)) / 1000
