/** `compare MESH_A MESH_B`: the distance between two meshes in the same axes. */
import { parseArgs } from 'node:util'
import type { CompareResult } from '../core/analysis'
import { compareMeshes } from '../core/geometry/compare-meshes'
import { drain } from '../core/geometry/kernel'
import { command, EXIT, parsed, usage } from './command'
import { loadFile, numberOf } from './mesh-argument'
import { type Overlap, overlapOf } from './overlap'

const HELP = 'compare MESH_A MESH_B [--unit mm] [--contact 0.1] [--json]'

await command(async (args) => {
  const { values, positionals } = parsed(
    () =>
      parseArgs({
        args: [...args],
        allowPositionals: true,
        options: {
          unit: { type: 'string' },
          contact: { type: 'string', default: '0.1' },
          json: { type: 'boolean', default: false },
        },
      }),
    HELP,
  )
  const [pathA, pathB, ...extra] = positionals
  if (!pathA || !pathB || extra.length > 0) throw usage(`Two mesh files are needed. Usage: ${HELP}`)
  const a = (await loadFile(pathA, values.unit)).mesh
  const b = (await loadFile(pathB, values.unit)).mesh
  const compared = drain(compareMeshes(a, b, numberOf('--contact', values.contact, 0)))
  const result: CompareResult & { overlap: Overlap } = { ...compared, overlap: await overlapOf(a, b) }
  process.stdout.write(values.json ? `${JSON.stringify(result)}\n` : `${table(result).join('\n')}\n`)
  return EXIT.done
})

function table({ min_mm, pointA, pointB, aToB, contact, overlap }: CompareResult & { overlap: Overlap }): string[] {
  const n = (value: number) => value.toFixed(4)
  const at = (p: readonly number[]) => p.map(n).join(', ')
  return [
    `least      ${n(min_mm)} mm, between ${at(pointA)} of A and ${at(pointB)} of B`,
    `A to B     mean ${n(aToB.mean_mm)}, rms ${n(aToB.rms_mm)}, p95 ${n(aToB.p95_mm)}, largest ${n(aToB.max_mm)} mm`,
    `contact    ${n(contact.area_mm2)} mm2 of A within ${contact.within_mm} mm of B`,
    overlap.volume_mm3 === null ? `overlap    not known: ${overlap.why}` : `overlap    ${n(overlap.volume_mm3)} mm3`,
  ]
}
