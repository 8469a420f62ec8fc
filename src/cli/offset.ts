/** `offset MESH --distance MM --out FILE.stl`: the surface at a distance from any mesh, for collars, boots and covers. */
import { basename, dirname } from 'node:path'
import { parseArgs } from 'node:util'
import { offsetSolid } from '../core/clearance'
import { drain } from '../core/geometry/kernel'
import { massProperties } from '../core/geometry/measure'
import { facetCount } from '../core/geometry/mesh'
import { writeStl } from '../core/release'
import { command, EXIT, parsed, say, usage } from './command'
import { writeWhole } from './files'
import { joinValues, loadFile, numberOf } from './mesh-argument'

const HELP = 'offset MESH --distance 12 --out FILE.stl [--voxel 3] [--unit mm] [--json]'

/** Without a word about voxels: a quarter of the distance, no finer than half a millimetre. */
const VOXEL_SHARE = 0.25
const LEAST_VOXEL_MM = 0.5

await command(async (args) => {
  const { values, positionals } = parsed(
    () =>
      parseArgs({
        args: joinValues(args, ['--distance']),
        allowPositionals: true,
        options: {
          distance: { type: 'string' },
          voxel: { type: 'string' },
          out: { type: 'string' },
          unit: { type: 'string' },
          json: { type: 'boolean', default: false },
        },
      }),
    HELP,
  )
  const [path, ...extra] = positionals
  if (!path || extra.length > 0 || !values.distance || !values.out)
    throw usage(`One mesh, a distance and a file to write are needed. Usage: ${HELP}`)
  if (!/\.stl$/i.test(values.out)) throw usage(`--out takes a file that ends in .stl; "${values.out}" does not.`)
  const distance_mm = numberOf('--distance', values.distance)
  const voxel_mm =
    values.voxel === undefined
      ? Math.max(Math.min(LEAST_VOXEL_MM, Math.abs(distance_mm)), VOXEL_SHARE * Math.abs(distance_mm))
      : numberOf('--voxel', values.voxel, 1e-3)
  const { mesh } = await loadFile(path, values.unit)
  const { mesh: skin, achieved } = drain(offsetSolid(mesh, { distance_mm, voxel_mm }))
  await writeWhole(dirname(values.out), [{ path: basename(values.out), bytes: writeStl(skin) }])
  const { volume_mm3, area_mm2 } = drain(massProperties(skin))
  const result = { distance_mm, voxel_mm, facets: facetCount(skin), volume_mm3, area_mm2, achieved }
  if (values.json) process.stdout.write(`${JSON.stringify(result)}\n`)
  else
    process.stdout.write(
      [
        `offset     ${distance_mm} mm, voxels of ${voxel_mm} mm: ${result.facets} facets, ${volume_mm3.toFixed(0)} mm3, ${area_mm2.toFixed(0)} mm2`,
        `achieved   least ${achieved.least_mm.toFixed(4)}, largest ${achieved.largest_mm.toFixed(4)} mm; off by rms ${achieved.rms_mm.toFixed(4)}, p95 ${achieved.p95_mm.toFixed(4)} mm at ${achieved.places} places`,
        '',
      ].join('\n'),
    )
  if (!achieved.neverShort)
    say(
      'The surface is large, so it was not corrected to the last facet: chords may fall short by their sag (see least).',
    )
  return EXIT.done
})
