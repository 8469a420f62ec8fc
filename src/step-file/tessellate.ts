/**
 * A STEP file (ISO 10303-21: surfaces, no facets) as a mesh file that every other part of the program reads: 3MF, millimetres,
 * one object for each solid. The job keeps that mesh; of the original it keeps name, SHA-256 and the count of its faces.
 */
import type { ReadMesh, SolidReader } from 'occt-import-js'
import { type PartReadResult, readPart } from '../core/fitting'
import { drain } from '../core/geometry/kernel'
import { type Mesh, makeMesh } from '../core/geometry/mesh'
import { Refused } from '../core/geometry/trouble'
import type { PackPart } from '../core/release/parts'
import { write3mf } from '../core/release/writers/3mf'

/** Facets stay this near to the true surface, mm… */
export const DEVIATION_MM = 0.05
/** …and turn by no more than this from one to the next: what small holes and rounds are drawn by, rad (7 degrees). */
const TURN_RAD = 0.12
/** Larger files are refused before the library allocates for them. */
const MOST_BYTES = 256 * 1024 * 1024

export interface StepFile {
  readonly name: string
  readonly bytes: Uint8Array
}

export interface StepMesh {
  /** The 3MF, mm. Same file, same bytes. */
  readonly bytes: Uint8Array
  /** Faces that the file states. */
  readonly faces: number
  /** Faces of which at least one facet came out; more than `faces` where a solid is used several times. */
  readonly facesRead: number
  readonly solids: number
  readonly closed: boolean
  readonly facets: number
  readonly volume_mm3: number
  readonly size_mm: readonly [number, number, number]
}

const HEAD = /^(?:\u00ef\u00bb\u00bf)?\s*ISO-10303-21\s*;/

/** By content, as all files are judged. */
export const isStepFile = (bytes: Uint8Array): boolean =>
  HEAD.test(new TextDecoder('latin1').decode(bytes.subarray(0, 200)))

/**
 * Reads solids and surfaces through the library; the file's unit is brought to millimetres by it.
 *
 * A damaged file may come out with faces missing and no complaint: therefore faces are counted in the text as well, and the
 * caller tells the person when they differ.
 *
 * @throws Refused `file-damaged` when the library refuses, `file-unsupported` when the file holds nothing it can tessellate,
 *         `too-large` beyond 256 MB; anything else that it throws leaves its memory in an unknown state: start it anew
 */
export function tessellate(reader: SolidReader, file: StepFile): StepMesh {
  if (file.bytes.length > MOST_BYTES)
    throw new Refused('too-large', `${file.name} is larger than 256 MB; save the part alone, without its surroundings.`)
  const faces = facesStated(file.bytes)
  const read = reader.ReadStepFile(file.bytes, {
    linearUnit: 'millimeter',
    linearDeflectionType: 'absolute_value',
    linearDeflection: DEVIATION_MM,
    angularDeflection: TURN_RAD,
  })
  if (!read.success)
    throw new Refused(
      'file-damaged',
      `${file.name} is cut off or damaged: it cannot be read to its end; save it again.`,
    )
  const solids = read.meshes.filter((m) => m.index.array.length > 0)
  if (solids.length === 0)
    throw new Refused(
      'file-unsupported',
      `${file.name} holds no solid or surface that can be drawn as facets (${faces} faces stated); save the part as a solid, AP203 or AP214, or as STL.`,
    )
  const parts = solids.map(
    (solid, i): PackPart => ({
      name: solid.name.trim() || `solid ${i + 1}`,
      kind: 'fitting',
      colour: [120, 128, 132],
      mesh: meshOf(solid),
      // The 3MF of an open sheet says so; whether the weld closes it is found when it is read back.
      closed: false,
    }),
  )
  const bytes = drain(write3mf(parts, { title: file.name, program: 'STEP, tessellated' }))
  const back: PartReadResult = drain(readPart({ file: { name: file.name, bytes }, unit: 'auto' }))
  return {
    bytes,
    faces,
    facesRead: solids.reduce((sum, s) => sum + s.brep_faces.filter((f) => f.last >= f.first).length, 0),
    solids: solids.length,
    closed: back.closed,
    facets: back.mesh.indices.length / 3,
    volume_mm3: back.volume_mm3,
    size_mm: back.size_mm,
  }
}

/** Faces in the text of the file. A keyword within a quoted name is not one: an entity stands right after its number. */
export function facesStated(bytes: Uint8Array): number {
  const text = new TextDecoder('latin1').decode(bytes)
  let count = 0
  for (const _ of text.matchAll(/#\s*\d+\s*=\s*(?:ADVANCED_FACE|FACE_SURFACE)\s*\(/g)) count++
  return count
}

/** About the middle of its box, so that Float32 keeps the places of a part drawn far from the origin. */
function meshOf({ attributes, index }: ReadMesh): Mesh<'part'> {
  const from = attributes.position.array
  const low: [number, number, number] = [Infinity, Infinity, Infinity]
  const high: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  for (let i = 0; i < from.length; i++) {
    const axis = i % 3
    low[axis] = Math.min(low[axis]!, from[i]!)
    high[axis] = Math.max(high[axis]!, from[i]!)
  }
  const origin = low.map((v, k) => Math.round((v + high[k]!) / 2)) as [number, number, number]
  return makeMesh(
    'part',
    Float32Array.from(from, (v, i) => v - origin[i % 3]!),
    Uint32Array.from(index.array),
    origin,
  )
}

/** What a person must know of the import, in one sentence; `plain` when nothing is amiss. */
export function importWords(
  name: string,
  { faces, facesRead, closed, size_mm, solids }: StepMesh,
): { readonly text: string; readonly plain: boolean } {
  const size = size_mm.map((v) => v.toFixed(1)).join(' × ')
  const amiss = [
    facesRead < faces &&
      `${faces - facesRead} of its ${faces} faces did not come out: compare it with the drawing, or save it again`,
    !closed && 'it does not close into a solid: volume and what it shares with others cannot be told',
  ].filter((w) => w !== false)
  return {
    text: `${name} is ${size} mm, ${solids === 1 ? 'one solid' : `${solids} solids`} of ${facesRead} faces${amiss.length > 0 ? `; ${amiss.join('; ')}` : ''}.`,
    plain: amiss.length === 0,
  }
}
