/**
 * GLB and glTF 2.0 with embedded buffers: metres, y up (Khronos glTF 2.0.1, section 3.4). Every placed instance of every
 * triangle mesh of the scene is taken, moved by its node's transforms, and turned to z up: (x, y, z) → (x, −z, y).
 *
 * A small reader of our own: of the whole format only positions, indices and placing matter here.
 */
import { IDENTITY, type Matrix4, multiply } from '../geometry/axes'
import type { Steps } from '../geometry/kernel'
import { type Accessors, accessors, type JsonObject, list, number, object } from './gltf-accessors'
import { type Instance, placed } from './placed-instances'
import { type MeshFile, MOST_FACETS, MOST_POINTS, NONE_REJECTED, type RawMesh, refuse, word32, words } from './raw-mesh'

export function* readGlb(file: MeshFile): Steps<RawMesh> {
  const { bytes } = file
  if (bytes.length < 20)
    refuse('file-damaged', file, `is cut off after ${bytes.length} bytes; copy or export it again.`)
  const version = word32(bytes, 4)
  if (version !== 2)
    refuse(
      'file-unsupported',
      file,
      `is a GLB of version ${version}; only version 2 is read: export it again as glTF 2.0.`,
    )
  const length = word32(bytes, 8)
  if (length > bytes.length)
    refuse(
      'file-damaged',
      file,
      `is cut off: it declares ${words(length)} bytes and has ${words(bytes.length)}; copy or export it again.`,
    )
  const jsonLength = word32(bytes, 12)
  if (word32(bytes, 16) !== CHUNK_JSON || 20 + jsonLength > length)
    refuse('file-damaged', file, 'does not begin with a whole chunk of JSON; export it again.')
  const json = parse(file, bytes.subarray(20, 20 + jsonLength))
  let at = 20 + jsonLength
  let binary: Uint8Array | null = null
  while (at + 8 <= length && !binary) {
    const size = word32(bytes, at)
    if (at + 8 + size > length)
      refuse(
        'file-damaged',
        file,
        `has a chunk of ${words(size)} bytes that runs beyond its end; copy or export it again.`,
      )
    if (word32(bytes, at + 4) === CHUNK_BIN) binary = bytes.subarray(at + 8, at + 8 + size)
    at += 8 + size
  }
  return yield* readScene(file, 'glb', json, binary)
}

export function* readGltf(file: MeshFile): Steps<RawMesh> {
  let start = 0
  while (start < file.bytes.length && file.bytes[start] !== 0x7b) start++
  return yield* readScene(file, 'gltf', parse(file, file.bytes.subarray(start)), null)
}

const CHUNK_JSON = 0x4e4f534a
const CHUNK_BIN = 0x004e4942

function parse(file: MeshFile, bytes: Uint8Array): JsonObject {
  if (bytes.length > MOST_JSON)
    refuse(
      'too-large',
      file,
      `has ${words(bytes.length)} bytes of JSON, more than ${words(MOST_JSON)}; save it as GLB.`,
    )
  let value: unknown
  try {
    value = JSON.parse(new TextDecoder().decode(bytes))
  } catch {
    refuse('file-damaged', file, 'has JSON that cannot be read (cut off, or changed by hand); export it again.')
  }
  return object(value) ?? refuse('file-damaged', file, 'has JSON that is no object; export it again.')
}

/** Strings end at about 536 million characters. */
const MOST_JSON = 400_000_000

function* readScene(
  file: MeshFile,
  format: 'glb' | 'gltf',
  json: JsonObject,
  binary: Uint8Array | null,
): Steps<RawMesh> {
  const version = object(json['asset'])?.['version']
  if (typeof version !== 'string' || !version.startsWith('2.'))
    refuse(
      'file-unsupported',
      file,
      `is glTF ${typeof version === 'string' ? version : 'without a version'}; only 2.0 is read: export it again.`,
    )
  for (const extension of list(json['extensionsRequired']) ?? [])
    if (!HARMLESS.has(String(extension)))
      refuse('file-unsupported', file, `needs the extension ${String(extension).slice(0, 60)}; export it without that.`)

  const data = accessors(file, json, binary)
  const meshes = list(json['meshes']) ?? []
  const parts = new Map<number, { points: Float32Array; indices: Uint32Array }[]>()
  const notes: string[] = []
  const instances: Instance[] = []
  let facets = 0
  let points = 0
  let skipped = 0
  let done = 0
  for (const { mesh, matrix } of nodesWithMesh(file, json)) {
    let primitives = parts.get(mesh)
    if (!primitives) {
      primitives = []
      const source =
        object(meshes[mesh]) ?? refuse('file-damaged', file, `names mesh ${mesh}, which is not there; export it again.`)
      for (const entry of list(source['primitives']) ?? []) {
        const primitive = readPrimitive(file, object(entry) ?? {}, data)
        if (primitive) primitives.push(primitive)
        else skipped++
        yield 0.1
      }
      parts.set(mesh, primitives)
    }
    for (const primitive of primitives) {
      facets += primitive.indices.length / 3
      points += primitive.points.length / 3
      if (facets > MOST_FACETS || points > MOST_POINTS)
        refuse('too-large', file, `places more than ${words(MOST_POINTS)} points; export it with fewer.`)
      instances.push({ ...primitive, matrix: multiply(Z_UP, matrix) })
    }
    if (++done % 256 === 0) yield 0.2
  }
  if (skipped > 0)
    notes.push(`${file.name} also holds ${words(skipped)} sets of points or lines, which were passed over.`)
  if (facets === 0)
    refuse('mesh-empty', file, 'shows no triangles in its scene; export it again with the part selected.')
  return { format, unit: 'm', ...(yield* placed(instances)), rejected: NONE_REJECTED, notes }
}

/** y up to z up, a turn by 90 degrees about x: (1, 3, −2) m in the file is (1, 2, 3) m here. */
const Z_UP: Matrix4 = [1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1]

/** Required extensions that do not change the shape. */
const HARMLESS = new Set([
  'KHR_mesh_quantization',
  'KHR_texture_transform',
  'KHR_materials_unlit',
  'KHR_materials_pbrSpecularGlossiness',
  'KHR_lights_punctual',
  'KHR_technique_webgl',
  'KHR_techniques_webgl',
  'KHR_texture_basisu',
  'EXT_texture_webp',
])

/** All nodes of the scene that show a mesh, with their place. @throws Refused if nodes hang in a circle */
function* nodesWithMesh(file: MeshFile, json: JsonObject): Generator<{ mesh: number; matrix: Matrix4 }> {
  const nodes = list(json['nodes']) ?? []
  const scenes = list(json['scenes'])
  const scene = object(scenes?.[number(json['scene']) ?? 0])
  const isChild = new Set<unknown>()
  for (const node of nodes) for (const child of list(object(node)?.['children']) ?? []) isChild.add(child)
  const roots = scene ? (list(scene['nodes']) ?? []) : nodes.map((_, i) => i).filter((i) => !isChild.has(i))
  // A node hangs at one place only (the format asks for trees): whoever is met twice is part of a circle or of two trees.
  const met = new Uint8Array(nodes.length)
  const stack = roots.map((node) => ({ node, matrix: IDENTITY })).reverse()
  for (let next = stack.pop(); next; next = stack.pop()) {
    const index = number(next.node)
    const node = index === null ? null : object(nodes[index])
    if (index === null || !node) return refuse('file-damaged', file, `names a node that is not there; export it again.`)
    if (met[index]) refuse('file-damaged', file, `has node ${index} in two places or in a circle; export it again.`)
    met[index] = 1
    const matrix = multiply(next.matrix, localMatrix(file, node, index))
    const mesh = number(node['mesh'])
    if (mesh !== null) yield { mesh, matrix }
    for (const child of [...(list(node['children']) ?? [])].reverse()) stack.push({ node: child, matrix })
  }
}

function localMatrix(file: MeshFile, node: JsonObject, index: number): Matrix4 {
  const numbers = (key: string, n: number): number[] | null => {
    if (node[key] === undefined) return null
    const values = (list(node[key]) ?? []).map((v) => (typeof v === 'number' ? v : Number.NaN))
    if (values.length !== n || values.some((v) => !Number.isFinite(v)))
      refuse('file-damaged', file, `has node ${index} with a "${key}" that cannot be read; export it again.`)
    return values
  }
  const m = numbers('matrix', 16)
  if (m) return Array.from({ length: 16 }, (_, i) => m[(i % 4) * 4 + Math.floor(i / 4)]!) // columns to rows
  const [tx, ty, tz] = (numbers('translation', 3) ?? [0, 0, 0]) as [number, number, number]
  const [x, y, z, w] = (numbers('rotation', 4) ?? [0, 0, 0, 1]) as [number, number, number, number]
  const [sx, sy, sz] = (numbers('scale', 3) ?? [1, 1, 1]) as [number, number, number]
  return [
    (1 - 2 * (y * y + z * z)) * sx,
    2 * (x * y - w * z) * sy,
    2 * (x * z + w * y) * sz,
    tx,
    2 * (x * y + w * z) * sx,
    (1 - 2 * (x * x + z * z)) * sy,
    2 * (y * z - w * x) * sz,
    ty,
    2 * (x * z - w * y) * sx,
    2 * (y * z + w * x) * sy,
    (1 - 2 * (x * x + y * y)) * sz,
    tz,
    0,
    0,
    0,
    1,
  ]
}

/** Points and triangles of a primitive; `null` for points and lines. */
function readPrimitive(
  file: MeshFile,
  primitive: JsonObject,
  data: Accessors,
): { points: Float32Array; indices: Uint32Array } | null {
  const mode = primitive['mode'] === undefined ? 4 : number(primitive['mode'])
  if (mode !== 4 && mode !== 5 && mode !== 6) return null
  const position = number(object(primitive['attributes'])?.['POSITION'])
  if (position === null) return null
  const points = data.positions(position)
  const source = number(primitive['indices'])
  if (primitive['indices'] !== undefined && source === null)
    refuse('file-damaged', file, 'has a mesh whose indices cannot be found; export it again.')
  const corners = source === null ? Uint32Array.from({ length: points.length / 3 }, (_, i) => i) : data.indices(source)
  if (mode === 4) return { points, indices: corners.subarray(0, corners.length - (corners.length % 3)) }
  const facets = Math.max(0, corners.length - 2)
  const indices = new Uint32Array(facets * 3)
  for (let f = 0; f < facets; f++) {
    const odd = mode === 5 && f % 2 === 1
    indices[f * 3] = corners[mode === 6 ? 0 : odd ? f + 1 : f]!
    indices[f * 3 + 1] = corners[mode === 6 ? f + 1 : odd ? f : f + 1]!
    indices[f * 3 + 2] = corners[f + 2]!
  }
  return { points, indices }
}
