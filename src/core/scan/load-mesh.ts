/** A single mesh file as one clean mesh in millimetres: fittings, imported shells, and whatever `check` is given. */
import type { Axes } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { assemble, type Box, boxOf, longestSide } from './assemble'
import { type MeshFile, type MeshFormat, type RawMesh, refuse, words } from './raw-mesh'
import { readMeshFile } from './read-mesh-file'
import type { LengthUnit, Rejected, UnitReading } from './types'
import { MM_PER } from './types'
import { type SizeOf, unitOf } from './unit'

export interface LoadedMesh<A extends Axes = Axes> {
  readonly mesh: Mesh<A>
  readonly format: MeshFormat
  readonly unit: UnitReading
  readonly welded: number
  readonly rejected: Rejected
  /** Oddities of the file, one sentence each. */
  readonly notes: readonly string[]
}

export interface LoadOptions<A extends Axes> {
  readonly axes: A
  /** Default `auto`: the file's own, else guessed from the size (and then to be confirmed: `unit.from === 'size'`). */
  readonly unit?: 'auto' | LengthUnit
  /** What sizes a guess may find believable. Default `part`. */
  readonly sizeOf?: SizeOf
}

/**
 * @throws Refused if the file cannot be read or holds no usable facet
 * @example const lamp = drain(loadMesh({ name: 'lamp.stl', bytes }, { axes: 'part' })).mesh
 */
export function* loadMesh<A extends Axes>(file: MeshFile, options: LoadOptions<A>): Steps<LoadedMesh<A>> {
  const raw = yield* within(0, 0.4, 'read', readMeshFile(file))
  const box = yield* within(0.4, 0.45, 'size', boxOf(raw))
  const unit = unitOf(options.unit ?? 'auto', raw.unit, longestSide(box), options.sizeOf ?? 'part')
  const parts = [{ raw, mmPerUnit: MM_PER[unit.unit] }]
  const { mesh, welded, rejected } = yield* within(
    0.45,
    1,
    'assemble',
    assemble(parts, scaledBox(box, MM_PER[unit.unit]), options.axes),
  )
  if (facetCount(mesh) === 0) refuseEmpty(file, raw, rejected)
  return { mesh, format: raw.format, unit, welded, rejected, notes: raw.notes }
}

export const scaledBox = ({ min, max }: Box, by: number): Box => ({
  min: [min[0] * by, min[1] * by, min[2] * by],
  max: [max[0] * by, max[1] * by, max[2] * by],
})

/** @throws Refused `mesh-empty`, with the causes */
export function refuseEmpty(file: { readonly name: string }, raw: RawMesh, rejected: Rejected): never {
  const facets = raw.indices ? raw.indices.length / 3 : raw.points.length / 9
  return refuse(
    'mesh-empty',
    file,
    rejected.total === 0
      ? 'holds no facet; export it again with the part selected.'
      : `holds ${words(Math.max(facets, rejected.total))} facets and none can be used (${causes(rejected)}); export it again.`,
  )
}

/** The causes of rejection in words, largest first: "12 without area, 3 not a number". */
export function causes(r: Rejected): string {
  return (
    [
      [r.notFinite, 'with places that are no numbers'],
      [r.zeroArea, 'without area'],
      [r.duplicate, 'given twice'],
      [r.badIndex, 'with vertices that do not exist'],
    ] as const
  )
    .filter(([n]) => n > 0)
    .sort((a, b) => b[0] - a[0])
    .map(([n, why]) => `${words(n)} ${why}`)
    .join(', ')
}
