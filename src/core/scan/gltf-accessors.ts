/** The binary side of glTF: buffers, views of them, and the typed, strided, possibly sparse accessors in those. */
import { type MeshFile, MOST_FACETS, refuse, words } from './raw-mesh'

export type JsonObject = { readonly [key: string]: unknown }

export const object = (v: unknown): JsonObject | null =>
  typeof v === 'object' && v !== null && !Array.isArray(v) ? (v as JsonObject) : null
export const list = (v: unknown): readonly unknown[] | null => (Array.isArray(v) ? v : null)
/** A whole number from 0; everything else is `null`. */
export const number = (v: unknown): number | null => (typeof v === 'number' && Number.isInteger(v) && v >= 0 ? v : null)

export interface Accessors {
  /** Three per point, in the file's unit. @throws Refused */
  positions(accessor: number): Float32Array
  /** @throws Refused */
  indices(accessor: number): Uint32Array
}

type Reader = (view: DataView, at: number) => number

/** Component types: bytes, how to read one, and the divisor if the accessor is normalised (section 3.6.2.2). */
const COMPONENTS: Record<number, { size: number; read: Reader; one: number }> = {
  5120: { size: 1, read: (v, at) => v.getInt8(at), one: 127 },
  5121: { size: 1, read: (v, at) => v.getUint8(at), one: 255 },
  5122: { size: 2, read: (v, at) => v.getInt16(at, true), one: 32767 },
  5123: { size: 2, read: (v, at) => v.getUint16(at, true), one: 65535 },
  5125: { size: 4, read: (v, at) => v.getUint32(at, true), one: 4294967295 },
  5126: { size: 4, read: (v, at) => v.getFloat32(at, true), one: 1 },
}

export function accessors(file: MeshFile, json: JsonObject, binary: Uint8Array | null): Accessors {
  const damaged = (what: string): never => refuse('file-damaged', file, `${what}; export it again.`)
  const buffers = new Map<number, Uint8Array>()

  const bufferAt = (index: number): Uint8Array => {
    const known = buffers.get(index)
    if (known) return known
    const buffer = object(list(json['buffers'])?.[index]) ?? damaged(`names buffer ${index}, which is not there`)
    const uri = buffer['uri']
    let bytes: Uint8Array
    if (uri === undefined) bytes = (index === 0 ? binary : null) ?? damaged(`has buffer ${index} without data`)
    else if (typeof uri === 'string' && uri.startsWith('data:')) {
      const comma = uri.indexOf(',')
      if (comma < 0 || !uri.slice(0, comma).endsWith(';base64'))
        damaged(`has buffer ${index} in a coding that cannot be read`)
      bytes = fromBase64(uri, comma + 1) ?? damaged(`has buffer ${index} with letters that are not base64`)
    } else
      return refuse(
        'file-unsupported',
        file,
        `keeps its shape in another file (${String(uri).slice(0, 60)}); save it as GLB, or with embedded buffers.`,
      )
    const length = number(buffer['byteLength']) ?? bytes.length
    if (length > bytes.length)
      damaged(`is cut off: buffer ${index} declares ${words(length)} bytes and has ${words(bytes.length)}`)
    buffers.set(index, bytes)
    return bytes
  }

  /** A strided window: where element e, component c stands. */
  const windowOf = (
    source: JsonObject,
    view: number,
    count: number,
    components: number,
    componentType: unknown,
    what: string,
  ) => {
    const kind = COMPONENTS[componentType as number] ?? damaged(`has ${what} of a type that glTF does not have`)
    const bufferView =
      object(list(json['bufferViews'])?.[view]) ?? damaged(`names buffer view ${view}, which is not there`)
    const bytes = bufferAt(number(bufferView['buffer']) ?? damaged('has a buffer view without a buffer'))
    const size = kind.size * components
    const stride = number(bufferView['byteStride']) || size
    const start = (number(bufferView['byteOffset']) ?? 0) + (number(source['byteOffset']) ?? 0)
    const needed = count === 0 ? 0 : start + (count - 1) * stride + size
    if (needed > bytes.length)
      damaged(`is cut off: ${what} need ${words(needed)} bytes, their buffer has ${words(bytes.length)}`)
    return { kind, start, stride, data: new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength) }
  }

  const read = (index: number, components: number, type: string, what: string) => {
    const accessor = object(list(json['accessors'])?.[index]) ?? damaged(`names accessor ${index}, which is not there`)
    if (accessor['type'] !== type) damaged(`has ${what} that are not of type ${type}`)
    const count = number(accessor['count']) ?? damaged(`has ${what} without a count`)
    if (count > MOST_FACETS * 3) refuse('too-large', file, `declares ${words(count)} ${what}; export it with fewer.`)
    const view = number(accessor['bufferView'])
    const sparse = object(accessor['sparse'])
    const { size, one } =
      COMPONENTS[accessor['componentType'] as number] ?? damaged(`has ${what} of a type that glTF does not have`)
    const scale = accessor['normalized'] === true ? 1 / one : 1
    // Without a view all is zero; believable only if something sparse is to be laid over it.
    if (view === null && !sparse) damaged(`has ${what} without data`)
    if (view === null && count * components * size > MOST_ZEROES)
      refuse('too-large', file, `declares ${words(count)} ${what} without data; export it again.`)
    const base = view === null ? null : windowOf(accessor, view, count, components, accessor['componentType'], what)
    return { accessor, count, sparse, scale, base }
  }

  const fill = (out: Float32Array | Uint32Array, index: number, components: number, type: string, what: string) => {
    const { accessor, count, sparse, scale, base } = read(index, components, type, what)
    if (base) {
      const { kind, start, stride, data } = base
      const { read: get } = kind
      const from = data.byteOffset + start
      if (kind === COMPONENTS[5126] && out instanceof Float32Array && stride === components * 4 && from % 4 === 0) {
        out.set(new Float32Array(data.buffer, from, count * components)) // the common case, ten times faster
      } else
        for (let e = 0; e < count; e++)
          for (let c = 0; c < components; c++)
            out[e * components + c] = get(data, start + e * stride + c * kind.size) * scale
    }
    if (sparse) {
      const n = number(sparse['count']) ?? damaged(`has sparse ${what} without a count`)
      if (n > count) damaged(`has more sparse ${what} than there are`)
      const at = object(sparse['indices']) ?? damaged(`has sparse ${what} without places`)
      const to = object(sparse['values']) ?? damaged(`has sparse ${what} without values`)
      const places = windowOf(at, number(at['bufferView']) ?? -1, n, 1, at['componentType'], what)
      const values = windowOf(to, number(to['bufferView']) ?? -1, n, components, accessor['componentType'], what)
      for (let e = 0; e < n; e++) {
        const place = places.kind.read(places.data, places.start + e * places.stride)
        if (place >= count) damaged(`has sparse ${what} beyond the last`)
        for (let c = 0; c < components; c++)
          out[place * components + c] =
            values.kind.read(values.data, values.start + e * values.stride + c * values.kind.size) * scale
      }
    }
  }

  // Many primitives may share one accessor: read once.
  const knownPositions = new Map<number, Float32Array>()
  const knownIndices = new Map<number, Uint32Array>()
  return {
    positions(index) {
      const known = knownPositions.get(index)
      if (known) return known
      const { count } = read(index, 3, 'VEC3', 'positions')
      const out = new Float32Array(count * 3)
      fill(out, index, 3, 'VEC3', 'positions')
      knownPositions.set(index, out)
      return out
    },
    indices(index) {
      const known = knownIndices.get(index)
      if (known) return known
      const { count } = read(index, 1, 'SCALAR', 'indices')
      const out = new Uint32Array(count)
      fill(out, index, 1, 'SCALAR', 'indices')
      knownIndices.set(index, out)
      return out
    },
  }
}

/** A sparse accessor costs a few bytes in the file and any amount in memory: 200 MB is beyond all honest use. */
const MOST_ZEROES = 200_000_000

/** Standard alphabet (RFC 4648); `null` if anything else stands in it. */
function fromBase64(text: string, from: number): Uint8Array | null {
  let end = text.length
  while (end > from && text.charCodeAt(end - 1) === 61) end--
  const out = new Uint8Array(Math.floor(((end - from) * 3) / 4))
  let bits = 0
  let held = 0
  let at = 0
  for (let i = from; i < end; i++) {
    const value = BASE64[text.charCodeAt(i) & 255]!
    if (value > 63 || text.charCodeAt(i) > 255) return null
    bits = ((bits << 6) | value) & 0xffffff
    held += 6
    if (held >= 8) {
      held -= 8
      out[at++] = bits >> held
    }
  }
  return out
}

const BASE64 = new Uint8Array(256).fill(255)
'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'.split('').forEach((letter, value) => {
  BASE64[letter.charCodeAt(0)] = value
})
