/**
 * 3MF: a zip archive with models in XML. Units are stated; objects are meshes or sets of components; the build places
 * them. (3MF Core Specification 1.4.0, 3MF Consortium; transforms: point as a row, times four rows of three.)
 */
import { IDENTITY, type Matrix4, multiply } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { GrowingFloats, GrowingIndices } from './growing'
import { type Instance, placed } from './placed-instances'
import { type MeshFile, MOST_FACETS, MOST_POINTS, NONE_REJECTED, type RawMesh, refuse, words } from './raw-mesh'
import type { LengthUnit } from './types'
import { XmlScanner } from './xml-scanner'
import { unzipped, type ZipEntry, zipEntries } from './zip-entries'

/** Model element, attribute `unit`: six values, millimetre if it is missing. */
const UNITS: Record<string, LengthUnit> = {
  micron: 'um',
  millimeter: 'mm',
  centimeter: 'cm',
  inch: 'in',
  foot: 'ft',
  meter: 'm',
}

interface Placing {
  /** Part and number of the object: "/3D/3dmodel.model#4". */
  readonly key: string
  readonly matrix: Matrix4
}

interface ModelObject {
  points: Float64Array
  indices: Uint32Array
  readonly components: Placing[]
}

interface Model {
  readonly unit: LengthUnit
  readonly items: readonly Placing[]
}

/** @throws Refused: no model inside, damaged, or larger than the budgets allow */
export function* read3mf(file: MeshFile): Steps<RawMesh> {
  const entries = zipEntries(file)
  const models = entries.filter((e) => /\.model$/i.test(e.name))
  const root = (yield* rootOf(file, entries)) ?? models[0]
  if (!root)
    return refuse(
      'file-unknown',
      file,
      'is a zip archive without a 3MF model; unpack it and give the mesh file inside.',
    )
  const objects = new Map<string, ModelObject>()
  let budget = MOST_UNPACKED
  let model: Model | null = null
  let part = 0
  for (const entry of [root, ...models.filter((e) => e !== root)]) {
    const [from, to] = [(0.7 * part) / models.length, (0.7 * (part + 1)) / models.length]
    part++
    const bytes = yield* within(from, (from + to) / 2, 'unpack', unzipped(file, entry, budget))
    budget -= bytes.length
    const read = yield* within((from + to) / 2, to, 'read', readModel(file, bytes, partName(entry.name), objects))
    model ??= read
  }
  if (!model) throw new Error('scan: a 3MF without models went through')

  const instances = instancesOf(file, model, objects)
  if (!instances.some((i) => i.indices.length > 0))
    refuse('mesh-empty', file, 'places no triangles; export it again with the part selected.')
  const { points, indices } = yield* within(0.7, 1, 'place', placed(instances))
  return { format: '3mf', unit: model.unit, points, indices, rejected: NONE_REJECTED, notes: [] }
}

/** XML of ten million facets is about 700 MB; a string of bytes, never decoded as a whole. */
const MOST_UNPACKED = 800_000_000

/** The part that the archive's relationships name as the model; `null` if they do not say. */
function* rootOf(file: MeshFile, entries: readonly ZipEntry[]): Steps<ZipEntry | null> {
  const relations = entries.find((e) => e.name.toLowerCase() === '_rels/.rels')
  if (!relations) return null
  const bytes = yield* unzipped(file, relations, 1_000_000)
  const xml = new XmlScanner({ name: file.name, bytes })
  for (let tag = xml.next(); tag; tag = xml.next())
    if (tag.name === 'Relationship' && xml.attribute('Type')?.endsWith('/3dmodel')) {
      const target = partName(xml.attribute('Target') ?? '')
      return entries.find((e) => partName(e.name) === target) ?? null
    }
  return null
}

const partName = (name: string): string => (name.startsWith('/') ? name : `/${name}`).toLowerCase()

function* readModel(file: MeshFile, bytes: Uint8Array, part: string, objects: Map<string, ModelObject>): Steps<Model> {
  const xml = new XmlScanner({ name: file.name, bytes })
  let unit: LengthUnit = 'mm'
  const items: Placing[] = []
  let object: ModelObject | null = null
  let points = new GrowingFloats()
  let corners = new GrowingIndices()
  let count = 0
  const placing = (): Placing => ({
    key: `${xml.attribute('path') === null ? part : partName(xml.attribute('path')!)}#${xml.attribute('objectid') ?? xml.damaged('places an object without its number')}`,
    matrix: transform(xml),
  })
  for (let tag = xml.next(); tag; tag = xml.next()) {
    if (++count % 16384 === 0) yield xml.at / bytes.length
    if (tag.kind === 'close') {
      if (tag.name === 'object' && object) {
        object.points = points.values().slice()
        object.indices = corners.values().slice()
        object = null
      }
      continue
    }
    switch (tag.name) {
      case 'model': {
        const stated = xml.attribute('unit')
        unit =
          stated === null
            ? 'mm'
            : (UNITS[stated] ?? xml.damaged(`states the unit "${stated.slice(0, 30)}", which 3MF does not have`))
        // Required extensions are named by prefix; the prefix's namespace tells what they are.
        for (const prefix of (xml.attribute('requiredextensions') ?? '').split(/\s+/))
          if (/slice|beamlattice|volumetric/.test((prefix && xml.attribute(prefix)) || ''))
            refuse('file-unsupported', file, 'keeps its shape in slices, beams or volumes; export it as a plain mesh.')
        break
      }
      case 'object':
        object = { points: new Float64Array(0), indices: new Uint32Array(0), components: [] }
        points = new GrowingFloats()
        corners = new GrowingIndices()
        objects.set(`${part}#${xml.attribute('id') ?? xml.damaged('has an object without its number')}`, object)
        break
      case 'vertex':
        points.push3(xml.number('x'), xml.number('y'), xml.number('z'))
        break
      case 'triangle':
        if (object) for (const name of TRIANGLE) corners.push(index(xml.number(name)))
        break
      case 'component':
        object?.components.push(placing())
        break
      case 'item':
        items.push(placing())
        break
      default: // properties, metadata, colours
    }
  }
  return { unit, items }
}

const TRIANGLE = ['v1', 'v2', 'v3'] as const
const index = (v: number): number => (Number.isInteger(v) && v >= 0 && v < 0xffffffff ? v : 0xffffffff)

/** Twelve numbers, four rows of three; a missing one is no motion. */
function transform(xml: XmlScanner): Matrix4 {
  const value = xml.attribute('transform')
  if (value === null) return IDENTITY
  const m = value.trim().split(/\s+/).map(Number)
  if (m.length !== 12 || m.some((v) => !Number.isFinite(v)))
    return xml.damaged('has a transform that is not 12 numbers')
  const at = (row: number, column: number) => m[row * 3 + column]!
  return [
    ...[at(0, 0), at(1, 0), at(2, 0), at(3, 0)],
    ...[at(0, 1), at(1, 1), at(2, 1), at(3, 1)],
    ...[at(0, 2), at(1, 2), at(2, 2), at(3, 2)],
    ...[0, 0, 0, 1],
  ]
}

/** All meshes that the build places, components followed to the end. @throws Refused on circles and explosions */
function instancesOf(file: MeshFile, model: Model, objects: ReadonlyMap<string, ModelObject>): Instance[] {
  const instances: Instance[] = []
  let facets = 0
  let points = 0
  let visits = 0
  // A path of names guards against circles; a budget against ten components of ten components of ten …
  const stack = model.items.map((item) => ({ ...item, path: [] as readonly string[] })).reverse()
  for (let next = stack.pop(); next; next = stack.pop()) {
    const { key, matrix, path } = next
    const object = objects.get(key)
    if (!object)
      return refuse(
        'file-damaged',
        file,
        `places object ${key.slice(key.indexOf('#') + 1, 40)}, which is not there; export it again.`,
      )
    if (path.includes(key))
      return refuse('file-damaged', file, 'has components that contain themselves; export it again.')
    if (++visits + stack.length > MOST_VISITS || path.length > 100)
      refuse('too-large', file, 'nests its components without end; export it flat.')
    facets += object.indices.length / 3
    points += object.points.length / 3
    if (facets > MOST_FACETS || points > MOST_POINTS)
      refuse('too-large', file, `places more than ${words(MOST_POINTS)} points; export it with fewer.`)
    if (object.indices.length > 0) instances.push({ points: object.points, indices: object.indices, matrix })
    for (const c of [...object.components].reverse())
      stack.push({ key: c.key, matrix: multiply(matrix, c.matrix), path: [...path, key] })
  }
  return instances
}

const MOST_VISITS = 200_000
