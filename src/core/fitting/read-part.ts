import { adjacency, isClosed } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { vertexCount } from '../geometry/mesh'
import { loadMesh } from '../scan'
import { sizeOf } from './fitting'
import type { PartReadRequest, PartReadResult } from './types'

/**
 * Reads a supplier's mesh in its own axes. Without the job's or the file's word the unit is guessed from the size, and is
 * then a proposal to be held against a ruler (`unitFrom` is `size`).
 *
 * @throws Refused as the readers do, in one sentence
 */
export function* readPart(request: PartReadRequest): Steps<PartReadResult> {
  const { name } = request.file
  const { mesh, unit, rejected } = yield* within(
    0,
    0.7,
    name,
    loadMesh(request.file, { axes: 'part', unit: request.unit }),
  )
  const across = yield* within(0.7, 0.9, name, adjacency(mesh.indices, vertexCount(mesh)))
  const { volume_mm3 } = yield* within(0.9, 1, name, massProperties(mesh))
  return {
    mesh,
    unit: unit.unit,
    unitFrom: unit.from,
    closed: isClosed(across),
    volume_mm3,
    size_mm: sizeOf(mesh),
    rejected: rejected.total,
  }
}
