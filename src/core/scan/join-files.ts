/** Several scans as one: each further file is laid on the first as the job asks, and all are joined in the axes of the first. */

import { type Steps, within } from '../geometry/kernel'
import { bounds, facetCount, type Mesh, transformMesh } from '../geometry/mesh'
import { register } from '../geometry/register'
import { type Assembled, assemble, type Box, type Part } from './assemble'
import { refuseEmpty } from './load-mesh'
import { addRejected, NONE_REJECTED } from './raw-mesh'
import type { FileFit, FileRegister, MeshFile } from './types'

/** Whether any file is to be moved at all; otherwise all are joined as they stand, in one go. */
export const asksToRegister = (asked: readonly FileRegister[]): boolean => asked.some((r) => r.how !== 'given')

/**
 * Every file is made a mesh of its own, laid on the first, and all are welded into one. Rims stay rims even where another
 * file shows the metal beyond them: the safe side, said in the finding.
 *
 * @param boxes one per file, mm
 * @param asked one per file after the first; a missing one stays as it stands
 * @throws Refused `register-unclear`, with the file's name and what to do
 */
export function* joinFiles(
  files: readonly MeshFile[],
  parts: readonly Part[],
  boxes: readonly Box[],
  asked: readonly FileRegister[],
): Steps<{ assembled: Assembled<'scan'>; fits: FileFit[]; box: Box }> {
  const meshes: Mesh<'scan'>[] = []
  let rejected = NONE_REJECTED
  let welded = 0
  for (const [i, part] of parts.entries()) {
    const share = 0.3 / parts.length
    const one = yield* within(share * i, share * (i + 1), 'weld', assemble([part], boxes[i]!, 'scan'))
    if (facetCount(one.mesh) === 0) refuseEmpty(files[i]!, part.raw, one.rejected)
    rejected = addRejected(rejected, one.rejected)
    welded += one.welded
    meshes.push(one.mesh)
  }
  const fits: FileFit[] = []
  for (let i = 1; i < meshes.length; i++) {
    const how = asked[i - 1]
    if (!how || how.how === 'given') continue
    const share = 0.4 / meshes.length
    const names = { moving: files[i]!.name, standing: files[0]!.name }
    const start = how.how === 'pairs' ? { pairs: how.pairs } : how.how === 'auto' ? 'any' : how.how
    const found = yield* within(
      0.3 + share * i,
      0.3 + share * (i + 1),
      `lay ${names.moving} on ${names.standing}`,
      register(meshes[i]!, meshes[0]!, { start, names }),
    )
    meshes[i] = transformMesh(meshes[i]!, found.motion, 'scan', meshes[0]!.origin)
    fits.push({
      file: i + 1,
      name: names.moving,
      from: found.from,
      motion: found.motion,
      rms_mm: found.rms_mm,
      p95_mm: found.p95_mm,
      overlap: found.overlap,
      shiftSpread_mm: found.spread.shift_mm,
      turnSpread_deg: found.spread.turn_deg,
      settled: found.settled,
    })
  }
  const box = meshes.map(bounds).reduce((a, b) => ({
    min: [Math.min(a.min[0], b.min[0]), Math.min(a.min[1], b.min[1]), Math.min(a.min[2], b.min[2])],
    max: [Math.max(a.max[0], b.max[0]), Math.max(a.max[1], b.max[1]), Math.max(a.max[2], b.max[2])],
  }))
  const joined = meshes.map((mesh, i): Part => {
    const points = new Float64Array(mesh.positions.length)
    for (let k = 0; k < points.length; k++) points[k] = mesh.positions[k]! + mesh.origin[k % 3]!
    return { raw: { ...parts[i]!.raw, points, indices: mesh.indices, rejected: NONE_REJECTED }, mmPerUnit: 1 }
  })
  const all = yield* within(0.7, 1, 'weld', assemble(joined, box, 'scan'))
  return {
    assembled: { mesh: all.mesh, welded: welded + all.welded, rejected: addRejected(rejected, all.rejected) },
    fits,
    box,
  }
}
