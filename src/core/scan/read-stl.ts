/** STL: loose facets, no unit, no axes. Binary (80 bytes, a count, 50 bytes a facet) and ASCII. */
import { BLOCK, type Steps } from '../geometry/kernel'
import { GrowingFloats } from './growing'
import { addRejected, type MeshFile, NONE_REJECTED, type RawMesh, refuse, word32, words } from './raw-mesh'
import { TextCursor } from './text-cursor'

/** Header and count of a binary file. */
const HEAD = 84
/** Bytes of one binary facet: normal, three corners (12 Float32), two bytes without agreed meaning. */
const RECORD = 50

/** Facets that a binary file of this size can hold. Plain numbers: 84 + 50 n passes 2^32 at 85,899,345 facets. */
export const facetsThatFit = (size: number): number => Math.max(0, Math.floor((size - HEAD) / RECORD))

/**
 * Binary STL. The stored normals are ignored (often wrong), and so are the two last bytes of each facet (colour schemes
 * that nobody agreed on). Up to 49 bytes behind the last facet are tolerated with a note: a published fixture has one.
 *
 * @throws Refused `file-damaged` when count and size do not fit, with both numbers, before anything is allocated
 */
export function* readBinaryStl(file: MeshFile): Steps<RawMesh> {
  const { bytes } = file
  const declared = word32(bytes, 80)
  const fit = facetsThatFit(bytes.length)
  if (declared > fit)
    refuse(
      'file-damaged',
      file,
      `is cut off: its header declares ${words(declared)} facets, its ${words(bytes.length)} bytes hold ${words(fit)} whole ones; copy or export it again.`,
    )
  if (declared < fit)
    refuse(
      'file-damaged',
      file,
      `does not fit its header: it declares ${words(declared)} facets, its ${words(bytes.length)} bytes hold ${words(fit)}; export it again.`,
    )
  if (declared === 0) refuse('mesh-empty', file, 'declares 0 facets; export it again with the part selected.')

  const points = new Float32Array(declared * 9)
  const out = new Uint32Array(points.buffer)
  // Facets stand at even addresses only, so numbers are put together from halves; a copy is made only if even that fails.
  const even = bytes.byteOffset % 2 === 0 ? bytes : bytes.slice()
  const halves = new Uint16Array(even.buffer, even.byteOffset + HEAD, declared * (RECORD / 2))
  let at = 0
  for (let from = 0; from < declared; from += BLOCK * 2) {
    const to = Math.min(declared, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      let h = f * 25 + 6
      let strange = 0
      for (let k = 0; k < 9; k++) {
        const w = halves[h]! | (halves[h + 1]! << 16)
        h += 2
        out[at + k] = w
        if ((w & INFINITE) === INFINITE) strange = 1
      }
      if (strange === 0) at += 9 // otherwise the next facet takes its place
    }
    yield to / declared
  }
  const notFinite = declared - at / 9
  const extra = bytes.length - HEAD - RECORD * declared
  return {
    format: 'stl-binary',
    unit: null,
    points: notFinite > 0 ? points.slice(0, at) : points,
    indices: null,
    rejected: addRejected(NONE_REJECTED, { notFinite }),
    notes: extra > 0 ? [`${file.name} has ${extra} bytes behind its last facet, which were ignored.`] : [],
  }
}

/** Exponent bits of a Float32: all set means infinite or not a number. */
const INFINITE = 0x7f800000

/**
 * ASCII STL. Keywords in any case, several solids in one file (all are kept), any line end, "end solid" in two words,
 * numbers in any spelling; names may be anything. Kept in double: a text may carry site coordinates with all their digits.
 *
 * @throws Refused `file-damaged` with the line
 */
export function* readAsciiStl(file: MeshFile): Steps<RawMesh> {
  const cursor = new TextCursor(file)
  const points = new GrowingFloats()
  let corners = 0 // of the facet under way
  let inFacet = false
  let facets = 0
  let notFinite = 0
  let open = 0 // solids without their end
  let ax = 0
  let ay = 0
  let az = 0
  let bx = 0
  let by = 0
  let bz = 0
  let nextYield = 0
  for (;;) {
    cursor.skipSpace()
    if (cursor.at >= cursor.end) break
    if (cursor.at > nextYield) {
      nextYield = cursor.at + 262_144
      yield cursor.at / cursor.end
    }
    const start = cursor.at
    switch (cursor.word()) {
      case 'vertex': {
        const x = cursor.number()
        const y = cursor.number()
        const z = cursor.number()
        corners++
        if (corners === 1) {
          ax = x
          ay = y
          az = z
        } else if (corners === 2) {
          bx = x
          by = y
          bz = z
        } else if (corners === 3) {
          // x − x is 0 for every finite number and NaN for the others.
          if (ax + ay + az + bx + by + bz + x + y + z - (ax + ay + az + bx + by + bz + x + y + z) === 0) {
            points.push3(ax, ay, az)
            points.push3(bx, by, bz)
            points.push3(x, y, z)
          } else notFinite++
        } else cursor.refuseHere('has a facet with more than three vertices', start)
        break
      }
      case 'facet':
        if (inFacet) cursor.refuseHere('has a facet that begins inside another', start)
        inFacet = true
        corners = 0
        // The normal (which may be anything, even "NaN NaN NaN") is skipped; corners on the same line are not.
        cursor.skipBlanks()
        if (cursor.word() === 'normal') for (let k = 0; k < 3; k++) cursor.word()
        break
      case 'endfacet':
        endFacet(start)
        break
      case 'outer':
      case 'loop':
      case 'endloop':
        break
      case 'end': {
        const what = cursor.word()
        if (what === 'facet') endFacet(start)
        else if (what === 'solid') {
          open--
          cursor.skipLine()
        }
        break
      }
      case 'solid':
        if (inFacet) cursor.refuseHere('has a solid that begins inside a facet', start)
        open++
        cursor.skipLine()
        break
      case 'endsolid':
        if (inFacet) cursor.refuseHere('has a solid that ends inside a facet', start)
        open--
        cursor.skipLine()
        break
      default:
        if (inFacet) {
          cursor.at = start
          cursor.refuseHere('has a word that does not belong into a facet')
        }
        cursor.skipLine()
    }
  }
  if (inFacet) cursor.refuseHere('ends inside a facet', cursor.end, 'it was cut off: copy or export it again')
  if (facets === 0)
    refuse('mesh-empty', file, 'is an STL text without a facet; export it again with the part selected.')
  return {
    format: 'stl-ascii',
    unit: null,
    points: points.values(),
    indices: null,
    rejected: addRejected(NONE_REJECTED, { notFinite }),
    notes:
      open > 0 ? [`${file.name} ends without "endsolid" behind facet ${words(facets)}: it may have been cut off.`] : [],
  }

  function endFacet(start: number): void {
    if (!inFacet) cursor.refuseHere('has an "endfacet" without its facet', start)
    if (corners !== 3) cursor.refuseHere(`has a facet with ${corners} vertices`, start)
    inFacet = false
    facets++
  }
}
