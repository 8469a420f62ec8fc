/**
 * Which format a file is, by its content alone: names lie, and half the world's binary STL files begin with "solid".
 */
import { type MeshFile, type MeshFormat, refuse, word32, words } from './raw-mesh'
import { facetsThatFit } from './read-stl'
import { text } from './text-cursor'

/**
 * @returns the format of a mesh file that we read
 * @throws Refused `file-empty`, `file-unknown`, `file-unsupported` (with the name of what it is), or `file-damaged` for
 *         a binary STL whose count does not fit its size
 */
export function recognise(file: MeshFile): MeshFormat {
  const { bytes } = file
  const first = firstInk(bytes)
  if (first === bytes.length)
    refuse('file-empty', file, `is empty (${words(bytes.length)} bytes without content); choose the file again.`)

  // STL: the size decides first, the keyword second. A text can never fit the formula: four printable bytes at 80 mean a
  // count above 150 million, hence 7.5 GB.
  const count = bytes.length >= 84 ? word32(bytes, 80) : -1
  if (count >= 0 && bytes.length === 84 + 50 * count) return 'stl-binary'
  if (starts(bytes, 'glTF')) return 'glb'
  if (starts(bytes, 'PK\u0003\u0004') || starts(bytes, 'PK\u0005\u0006')) return '3mf'
  if (/^ply[\r\n \t]/.test(text(bytes, first, Math.min(bytes.length, first + 4)))) return 'ply'
  if (count >= 0 && count === facetsThatFit(bytes.length)) return 'stl-binary' // some bytes over

  if (isText(bytes)) {
    const format = textFormat(file, first)
    if (format) return format
    return refuse('file-unknown', file, `is a text, but not a mesh: ${OFFER}`)
  }
  if (starts(bytes, '\u00ff\u00fe') || starts(bytes, '\u00fe\u00ff'))
    refuse('file-unknown', file, 'is a text of two bytes per character; save it as plain text (UTF-8) and try again.')
  if (count >= 0 && looksLikeFacets(bytes)) return 'stl-binary' // its reader refuses it with both numbers
  if (/^\s*solid\s/i.test(text(bytes, 0, 32)))
    refuse('file-damaged', file, 'begins like an STL text but holds bytes that are no text; export it again.')
  return refuse('file-unknown', file, `is no mesh that can be read here: ${OFFER}`)
}

const OFFER = 'give an STL, OBJ, PLY, GLB, glTF or 3MF file.'

function textFormat(file: MeshFile, first: number): MeshFormat | null {
  const { bytes } = file
  const head = text(bytes, first, Math.min(bytes.length, first + 65_536))
  if (/^solid(\s|$)/i.test(head)) return 'stl-ascii'
  if (head.startsWith('{')) {
    if (/"asset"\s*:/.test(text(bytes, first, Math.min(bytes.length, first + 8_388_608)))) return 'gltf'
    return refuse('file-unknown', file, `is a JSON text, but no glTF: ${OFFER}`)
  }
  if (head.startsWith('ISO-10303-21'))
    refuse(
      'file-unsupported',
      file,
      'is a STEP file, which holds surfaces and no mesh; drop it on the page or name it in a job, where it is tessellated, or export it as STL, OBJ or 3MF.',
    )
  if (/^<(!doctype html|html)/i.test(head))
    refuse('file-unknown', file, 'is a web page and no mesh (a download that went wrong?); fetch the file again.')
  if (/^(\w*OFF)\s/.test(head)) refuse('file-unsupported', file, `is an OFF file, which is not read here: ${OFFER}`)
  // A vertex line within the first 64 kB, or after a long comment within the first megabyte.
  const vertex = /(^|[\r\n])[ \t]*v[ \t]+[-+.\d]/
  if (vertex.test(head) || (/^[#o]/.test(head) && vertex.test(text(bytes, first, Math.min(bytes.length, 1_048_576)))))
    return 'obj'
  if (/(^|[\r\n])[ \t]*f[ \t]+-?\d+/.test(head)) return 'obj'
  return null
}

/** First byte that is neither white space nor a byte order mark. */
function firstInk(bytes: Uint8Array): number {
  let i = starts(bytes, '\u00ef\u00bb\u00bf') ? 3 : 0
  while (i < bytes.length && bytes[i]! <= 32 && bytes[i]! !== 0) i++
  return i
}

function starts(bytes: Uint8Array, what: string): boolean {
  return bytes.length >= what.length && text(bytes, 0, what.length) === what
}

/** No control bytes but white space in the first 4 kB. Bytes over 127 are letters of some encoding. */
function isText(bytes: Uint8Array): boolean {
  const end = Math.min(bytes.length, 4096)
  for (let i = 0; i < end; i++) {
    const c = bytes[i]!
    if (c < 9 || (c > 13 && c < 32 && c !== 26 && c !== 27) || c === 127) return false
  }
  return true
}

/** The first records read like facets: numbers of a size that a drawing may have. For files whose count does not fit. */
function looksLikeFacets(bytes: Uint8Array): boolean {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const records = Math.min(8, facetsThatFit(bytes.length))
  if (records === 0) return bytes.subarray(0, 80).every((c) => c === 0 || (c >= 32 && c < 127))
  let good = 0
  for (let r = 0; r < records; r++)
    for (let k = 0; k < 12; k++) {
      const v = Math.abs(view.getFloat32(84 + r * 50 + k * 4, true))
      if (v === 0 || (v > 1e-12 && v < 1e9)) good++
    }
  return good >= records * 9
}
