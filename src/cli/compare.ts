/** `compare MESH_A MESH_B`: the distance between two meshes in the same axes. */
import { parseArgs } from 'node:util'
import { type AsMade, asMade, type CompareResult } from '../core/analysis'
import { compareMeshes } from '../core/geometry/compare-meshes'
import { drain } from '../core/geometry/kernel'
import { transformMesh } from '../core/geometry/mesh'
import { type Registration, register } from '../core/geometry/register'
import { command, EXIT, parsed, usage } from './command'
import { loadFile, numberOf } from './mesh-argument'
import { type Overlap, overlapOf } from './overlap'

/** Profile tolerance when only a fit was asked for, mm. */
const TOLERANCE_MM = 2

const HELP = 'compare MESH_A MESH_B [--unit mm] [--contact 0.1] [--fit] [--tolerance 2] [--json]'

await command(async (args) => {
  const { values, positionals } = parsed(
    () =>
      parseArgs({
        args: [...args],
        allowPositionals: true,
        options: {
          unit: { type: 'string' },
          contact: { type: 'string', default: '0.1' },
          fit: { type: 'boolean', default: false },
          tolerance: { type: 'string' },
          json: { type: 'boolean', default: false },
        },
      }),
    HELP,
  )
  const [pathA, pathB, ...extra] = positionals
  if (!pathA || !pathB || extra.length > 0) throw usage(`Two mesh files are needed. Usage: ${HELP}`)
  const given = (await loadFile(pathA, values.unit)).mesh
  const b = (await loadFile(pathB, values.unit)).mesh
  // A scan of a made thing lies anyhow: it is laid on B before anything is measured.
  const fit = values.fit ? drain(register(given, b, { start: 'any', names: { moving: pathA, standing: pathB } })) : null
  const a = fit ? transformMesh(given, fit.motion, 'job') : given
  const tolerance_mm = values.tolerance === undefined ? null : numberOf('--tolerance', values.tolerance, 1e-6)
  const made = fit || tolerance_mm !== null ? drain(asMade(a, b, { tolerance_mm: tolerance_mm ?? TOLERANCE_MM })) : null
  const compared = drain(compareMeshes(a, b, numberOf('--contact', values.contact, 0)))
  const result: Compared = {
    ...compared,
    overlap: await overlapOf(a, b),
    ...(fit && { fit }),
    ...(made && { asMade: figuresOf(made) }),
  }
  process.stdout.write(values.json ? `${JSON.stringify(result)}\n` : `${table(result).join('\n')}\n`)
  return EXIT.done
})

interface Compared extends CompareResult {
  readonly overlap: Overlap
  readonly fit?: Registration
  readonly asMade?: Omit<AsMade, 'deviation'>
}

/** The map stays here; only its figures are printed. */
function figuresOf({ deviation: _, ...figures }: AsMade): Omit<AsMade, 'deviation'> {
  return figures
}

function table({ min_mm, pointA, pointB, aToB, contact, overlap, fit, asMade: made }: Compared): string[] {
  const n = (value: number) => value.toFixed(4)
  const at = (p: readonly number[]) => p.map(n).join(', ')
  return [
    `least      ${n(min_mm)} mm, between ${at(pointA)} of A and ${at(pointB)} of B`,
    `A to B     mean ${n(aToB.mean_mm)}, rms ${n(aToB.rms_mm)}, p95 ${n(aToB.p95_mm)}, largest ${n(aToB.max_mm)} mm`,
    `contact    ${n(contact.area_mm2)} mm2 of A within ${contact.within_mm} mm of B`,
    overlap.volume_mm3 === null ? `overlap    not known: ${overlap.why}` : `overlap    ${n(overlap.volume_mm3)} mm3`,
    ...(fit
      ? [
          `fit        rms ${n(fit.rms_mm)} mm over ${(100 * fit.overlap).toFixed(1)} % of A; figures above are of A so laid on B`,
        ]
      : []),
    ...(made
      ? [
          `as made    ${(100 * made.within).toFixed(2)} % within the profile zone of ${made.tolerance_mm} mm (ISO 1101: half on either side); all within one of ${n(made.profile_mm)} mm`,
          `           mean ${n(made.mean_mm)}, rms ${n(made.rms_mm)}, p95 ${n(made.p95_mm)}, from ${n(made.lowest_mm)} to ${n(made.highest_mm)} mm; ${made.unseen_mm2.toFixed(0)} mm2 of B not seen`,
          `           twist ${made.twist_deg === null ? 'not known' : `${n(made.twist_deg)} deg`}, port less starboard ${made.portMinusStarboard_mm === null ? 'not known' : `${n(made.portMinusStarboard_mm)} mm`}`,
        ]
      : []),
  ]
}
