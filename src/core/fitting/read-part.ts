import { adjacency } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { makeMesh, transformMesh } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'
import { MM_PER, readMeshFile } from '../scan'
import { sizeOf } from './fitting'
import type { PartReadRequest, PartReadResult } from './types'

/** Believable sizes of an accessory, longest side, mm (ours; common practice, no source). */
const LEAST_MM = 15
const MOST_MM = 3000

/**
 * Reads a supplier's mesh: unit from the job, else from the file, else millimetres if that gives a believable size, else
 * the first of metres, inches, centimetres that does.
 *
 * @throws Refused as `readMeshFile` does
 */
export function* readPart(request: PartReadRequest): Steps<PartReadResult> {
  const read = yield* within(0, 0.6, request.file.name, readMeshFile(request.file))
  return yield* within(0.6, 1, request.file.name, finish(request, read))
}
