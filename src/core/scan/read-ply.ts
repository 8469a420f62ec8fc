/** PLY: vertices and faces with any properties, as text or as binary in either byte order; no unit. */
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { GrowingIndices } from './growing'
import { triangles } from './polygons'
import { addRejected, type MeshFile, NONE_REJECTED, type RawMesh, refuse, words } from './raw-mesh'
import { TextCursor } from './text-cursor'

type Scalar = 'i1' | 'u1' | 'i2' | 'u2' | 'i4' | 'u4' | 'f4' | 'f8'

const SCALARS: Record<string, Scalar> = {
  char: 'i1',
  int8: 'i1',
  uchar: 'u1',
  uint8: 'u1',
  short: 'i2',
  int16: 'i2',
  ushort: 'u2',
  uint16: 'u2',
  int: 'i4',
  int32: 'i4',
  uint: 'u4',
  uint32: 'u4',
  float: 'f4',
  float32: 'f4',
  double: 'f8',
  float64: 'f8',
}

interface Property {
  readonly name: string
  readonly type: Scalar
  /** Type of the count of a list; `null` for a plain number. */
  readonly list: Scalar | null
}

interface Element {
  readonly name: string
  readonly count: number
  readonly properties: Property[]
}

interface Header {
  readonly order: 'ascii' | 'little' | 'big'
  readonly elements: readonly Element[]
  /** First byte behind the header; counted in bytes, for comments may be in any script. */
  readonly end: number
}

/** How the three readers (text, two byte orders) give out numbers. */
interface Source {
  read(type: Scalar): number
  /** Called at the end of each record. */
  endRecord(): void
  /** Bytes left. */
  left(): number
  progress(): number
}

/**
 * @throws Refused `file-damaged` (with both numbers where counts do not fit), `mesh-empty` for a cloud of points
 */
export function* readPly(file: MeshFile): Steps<RawMesh> {
  const header = readHeader(file)
  const vertex = header.elements.find((e) => e.name === 'vertex')
  if (!vertex) return refuse('file-damaged', file, 'declares no vertices; export it again.')
  const xyz = ['x', 'y', 'z'].map((name) => vertex.properties.findIndex((p) => p.name === name && !p.list))
  if (xyz.includes(-1)) refuse('file-damaged', file, 'has vertices without x, y and z; export it again.')

  const source: Source =
    header.order === 'ascii' ? textSource(file, header.end) : binarySource(file, header.end, header.order === 'little')
  let points = new Float64Array(0)
  let indices = new Uint32Array(0)
  let tooFew = 0
  let facesDeclared = 0
  for (const element of header.elements) {
    // The least that this element can need; checked before anything is allocated.
    const least = header.order === 'ascii' ? element.properties.length * 2 - 1 : leastBytes(element)
    if (element.count * Math.max(1, least) > source.left() + 1)
      refuse(
        'file-damaged',
        file,
        `is cut off: its header declares ${words(element.count)} records "${element.name}", ${words(source.left())} bytes are left for them; copy or export it again.`,
      )
    if (element.name === 'vertex') points = yield* readVertices(element, xyz, source)
    else if (element.name === 'face' || element.name === 'tristrips') {
      const list = element.properties.findIndex((p) => p.list && /^vert(ex|ices)?_?(ind(ex|ices))?$/.test(p.name))
      if (list < 0) refuse('file-damaged', file, `has a "${element.name}" without a list of vertices; export it again.`)
      facesDeclared += element.count
      const read = yield* readFaces(element, list, source, file)
      if (element.name === 'face') {
        const cut = yield* within(0.8, 1, 'polygons', triangles(read, points))
        tooFew += cut.tooFew
        indices = joined(indices, cut.indices)
      } else indices = joined(indices, strips(read.corners))
    } else yield* passOver(element, source)
  }
  if (indices.length === 0)
    refuse(
      'mesh-empty',
      file,
      facesDeclared > 0
        ? 'has no face with three corners; export it again.'
        : `is a cloud of ${words(points.length / 3)} points without facets; make a mesh of it first.`,
    )
  return {
    format: 'ply',
    unit: null,
    points,
    indices,
    rejected: addRejected(NONE_REJECTED, { zeroArea: tooFew }),
    notes: [],
  }
}

function readHeader(file: MeshFile): Header {
  const cursor = new TextCursor(file)
  cursor.skipSpace()
  if (cursor.bytes[cursor.at] === 0xef) cursor.at += 3
  cursor.word()
  cursor.skipLine()
  let order: Header['order'] | null = null
  const elements: Element[] = []
  for (;;) {
    if (cursor.at >= cursor.end)
      cursor.refuseHere('has a header without its end', cursor.end, 'it was cut off: copy or export it again')
    const start = cursor.at
    switch (cursor.word()) {
      case 'format': {
        const kind = cursor.word()
        if (kind === 'ascii') order = 'ascii'
        else if (kind === 'binary_little_endian') order = 'little'
        else if (kind === 'binary_big_endian') order = 'big'
        else cursor.refuseHere('names a format that PLY does not have', start)
        break
      }
      case 'element': {
        const name = cursor.word()
        const count = cursor.integer()
        if (count < 0) cursor.refuseHere('declares a negative count', start)
        elements.push({ name, count, properties: [] })
        break
      }
      case 'property': {
        const element = elements.at(-1)
        if (!element) return cursor.refuseHere('has a property before any element', start)
        const first = cursor.word()
        const list = first === 'list' ? SCALARS[cursor.word()] : null
        const type = SCALARS[first === 'list' ? cursor.word() : first]
        const name = cursor.word()
        if (!type || list === undefined || name === '')
          return cursor.refuseHere('has a property that cannot be read', start)
        if (list === 'f4' || list === 'f8') cursor.refuseHere('counts a list with fractions', start)
        element.properties.push({ name, type, list })
        if (element.properties.length > 1000) cursor.refuseHere('has more than 1000 properties', start)
        break
      }
      case 'end_header':
        cursor.skipLine()
        if (!order) return cursor.refuseHere('has a header without its format', start)
        return { order, elements, end: cursor.at }
      case 'comment':
      case 'obj_info':
      case '':
        break
      default:
        // Before the first element a stray line is a comment that lost its word; later it could be a property that is missed.
        if (elements.length > 0) cursor.refuseHere('has a header line that cannot be read', start)
    }
    cursor.skipLine()
  }
}

function* readVertices(element: Element, xyz: number[], source: Source): Steps<Float64Array<ArrayBuffer>> {
  const points = new Float64Array(element.count * 3)
  const { properties } = element
  const [x, y, z] = xyz
  for (let v = 0; v < element.count; v++) {
    for (let p = 0; p < properties.length; p++) {
      const property = properties[p]!
      if (property.list) {
        skipList(property, source)
        continue
      }
      const value = source.read(property.type)
      if (p === x) points[v * 3] = value
      else if (p === y) points[v * 3 + 1] = value
      else if (p === z) points[v * 3 + 2] = value
    }
    source.endRecord()
    if (v % BLOCK === 0) yield 0.8 * source.progress()
  }
  return points
}

function* readFaces(
  element: Element,
  list: number,
  source: Source,
  file: MeshFile,
): Steps<{ corners: Uint32Array; sizes: Uint32Array | null }> {
  const corners = new GrowingIndices()
  let sizes: Uint32Array | null = null
  const { properties } = element
  for (let f = 0; f < element.count; f++) {
    for (let p = 0; p < properties.length; p++) {
      const property = properties[p]!
      if (p !== list) {
        if (property.list) skipList(property, source)
        else source.read(property.type)
        continue
      }
      const n = listLength(property, source, file)
      if (n !== 3 && !sizes) {
        sizes = new Uint32Array(element.count).fill(3, 0, f)
      }
      if (sizes) sizes[f] = n
      for (let k = 0; k < n; k++) {
        const v = source.read(property.type)
        corners.push(v >= 0 && v < NOWHERE ? v : NOWHERE)
      }
    }
    source.endRecord()
    if (f % BLOCK === 0) yield 0.8 * source.progress()
  }
  return { corners: corners.values(), sizes }
}

/** A negative or impossible index: counted as bad later. In strips it is the mark of a new strip. */
const NOWHERE = 0xffffffff

function listLength(property: Property, source: Source, file: MeshFile): number {
  const n = source.read(property.list as Scalar)
  if (!(n >= 0) || n > source.left() || !Number.isInteger(n))
    refuse(
      'file-damaged',
      file,
      `has a list of ${Number.isNaN(n) ? 'no known number of' : n} entries with ${words(source.left())} bytes left; copy or export it again.`,
    )
  return n
}

function skipList(property: Property, source: Source): void {
  const n = source.read(property.list as Scalar)
  // An impossible length runs into the end of the file, which refuses.
  for (let k = 0; k < n; k++) source.read(property.type)
}

function* passOver(element: Element, source: Source): Steps<void> {
  for (let r = 0; r < element.count; r++) {
    for (const property of element.properties) {
      if (property.list) skipList(property, source)
      else source.read(property.type)
    }
    source.endRecord()
    if (r % BLOCK === 0) yield 0.8 * source.progress()
  }
}

/** Strips of triangles, every second one turned; a negative index starts a new strip. */
function strips(list: Uint32Array): Uint32Array<ArrayBuffer> {
  const out = new GrowingIndices()
  let run = 0
  for (let i = 0; i < list.length; i++) {
    if (list[i] === NOWHERE) {
      run = 0
      continue
    }
    run++
    if (run < 3) continue
    const [a, b, c] = [list[i - 2]!, list[i - 1]!, list[i]!]
    if (a === b || b === c || c === a) continue // a turn of the strip, not a facet
    out.push(run % 2 === 1 ? a : b)
    out.push(run % 2 === 1 ? b : a)
    out.push(c)
  }
  return out.values().slice()
}

function joined(a: Uint32Array, b: Uint32Array): Uint32Array<ArrayBuffer> {
  const out = new Uint32Array(a.length + b.length)
  out.set(a)
  out.set(b, a.length)
  return out
}

const SIZE: Record<Scalar, number> = { i1: 1, u1: 1, i2: 2, u2: 2, i4: 4, u4: 4, f4: 4, f8: 8 }

const leastBytes = (element: Element): number => element.properties.reduce((sum, p) => sum + SIZE[p.list ?? p.type], 0)

function binarySource(file: MeshFile, start: number, little: boolean): Source {
  const { bytes } = file
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  let at = start
  return {
    read(type) {
      const from = at
      at += SIZE[type]
      if (at > bytes.length)
        refuse(
          'file-damaged',
          file,
          `is cut off: it ends after ${words(bytes.length)} bytes inside a record; copy or export it again.`,
        )
      switch (type) {
        case 'f4':
          return view.getFloat32(from, little)
        case 'i4':
          return view.getInt32(from, little)
        case 'u1':
          return bytes[from]!
        case 'u4':
          return view.getUint32(from, little)
        case 'f8':
          return view.getFloat64(from, little)
        case 'i1':
          return view.getInt8(from)
        case 'i2':
          return view.getInt16(from, little)
        case 'u2':
          return view.getUint16(from, little)
      }
    },
    endRecord() {},
    left: () => bytes.length - at,
    progress: () => at / bytes.length,
  }
}

function textSource(file: MeshFile, start: number): Source {
  const cursor = new TextCursor(file, start)
  return {
    read() {
      cursor.skipSpace()
      if (cursor.at >= cursor.end)
        cursor.refuseHere('ends inside a record', cursor.end, 'it was cut off: copy or export it again')
      return cursor.number()
    },
    // Records are lines by custom, but numbers alone tell where one ends.
    endRecord() {},
    left: () => cursor.end - cursor.at,
    progress: () => cursor.at / cursor.end,
  }
}
