/** OBJ: vertices and faces of any number of corners in a text, no unit. Groups, materials, textures, lines are passed over. */
import type { Steps } from '../geometry/kernel'
import { within } from '../geometry/kernel'
import { GrowingFloats, GrowingIndices } from './growing'
import { triangles } from './polygons'
import { addRejected, type MeshFile, NONE_REJECTED, type RawMesh, refuse } from './raw-mesh'
import { TextCursor } from './text-cursor'

/**
 * Corners as `v`, `v/vt`, `v//vn`, `v/vt/vn`; indices from 1, or negative: back from the vertices read *so far*, on that
 * very line (resolving them against the final count returns a tangle). Colours behind x y z are passed over.
 *
 * @throws Refused `file-damaged` with the line; `mesh-empty` if there is no face
 */
export function* readObj(file: MeshFile): Steps<RawMesh> {
  const cursor = new TextCursor(file)
  const { bytes } = cursor
  const vertices = new GrowingFloats()
  const corners = new GrowingIndices()
  let sizes: GrowingIndices | null = null
  let faces = 0
  let other = 0 // lines, points, free-form surfaces
  let nextYield = 0

  const push = (n: number) => {
    if (n !== 3 && !sizes) {
      // The first face that is no triangle: only from here on sizes are written down at all.
      sizes = new GrowingIndices()
      for (let f = 0; f < faces; f++) sizes.push(3)
    }
    sizes?.push(n)
    faces++
  }

  while (cursor.at < cursor.end) {
    if (cursor.at > nextYield) {
      nextYield = cursor.at + 262_144
      yield (0.9 * cursor.at) / cursor.end
    }
    cursor.skipBlanks()
    const c = bytes[cursor.at]
    const after = bytes[cursor.at + 1]
    const alone = after === 32 || after === 9
    if (c === 118 && alone) {
      // v
      cursor.at++
      const x = cursor.number()
      const y = cursor.number()
      const z = cursor.number()
      vertices.push3(x, y, z)
    } else if (c === 102 && alone) {
      // f
      cursor.at++
      const before = corners.length
      const known = vertices.length / 3
      for (;;) {
        cursor.skipBlanks()
        if (cursor.atLineEnd() || bytes[cursor.at] === 35) break
        corners.push(faceCorner(cursor, known))
      }
      push(corners.length - before)
    } else if (c === 108 || c === 112 || c === 115) {
      const word = cursor.word()
      if (word === 'l' || word === 'p' || word === 'surf') other++
    }
    cursor.skipLine()
  }
  if (faces === 0)
    refuse(
      'mesh-empty',
      file,
      `has ${vertices.length / 3} vertices but no face${other > 0 ? ' (lines, points or free-form surfaces only)' : ''}; export it as a mesh.`,
    )
  const points = vertices.values()
  const sizesRead = sizes as GrowingIndices | null
  const { indices, tooFew } = yield* within(
    0.9,
    1,
    'polygons',
    triangles({ corners: corners.values(), sizes: sizesRead ? sizesRead.values() : null }, points),
  )
  return {
    format: 'obj',
    unit: null,
    points,
    indices,
    rejected: addRejected(NONE_REJECTED, { zeroArea: tooFew }),
    notes: [],
  }
}

/** Never a vertex: an index of 0, or one that reaches back beyond the first. Counted as a bad index later. */
const NOWHERE = 0xffffffff

/** One corner of a face line: the vertex number from 0. What stands behind the first "/" does not matter here. */
function faceCorner(cursor: TextCursor, known: number): number {
  const { bytes, end } = cursor
  const from = cursor.at
  let i = from
  const negative = bytes[i] === 45
  if (negative || bytes[i] === 43) i++
  let n = 0
  const digits = i
  while (i < end && bytes[i]! >= 48 && bytes[i]! <= 57) n = n * 10 + (bytes[i++]! - 48)
  const c = i < end ? bytes[i]! : 10
  if (i === digits || (c !== 47 && c > 32 && c !== 92))
    cursor.refuseHere('has a face with something that is no vertex number')
  while (i < end && bytes[i]! > 32 && bytes[i] !== 92) i++
  cursor.at = i
  const v = negative ? known - n : n - 1
  return v >= 0 && v < NOWHERE && n > 0 ? v : NOWHERE
}
