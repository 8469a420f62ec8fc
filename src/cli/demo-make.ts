/**
 * `npm run demo:make -- --facets N --seed S [--out FILE.stl] …`: writes a believable scan of a canopy frame, and the truth
 * about it if asked. With `--job FILE.mwjob` it writes the whole demo job instead, scan and accessories included.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname } from 'node:path'
import { parseArgs } from 'node:util'
import type { Steps } from '../core/geometry/kernel'
import { type Mesh, makeMesh } from '../core/geometry/mesh'
import { writeStl } from '../core/release/writers/stl'
import { type LengthUnit, MM_PER } from '../core/scan/types'
import { accessories } from '../demo/accessories'
import { makeDemo, roundedTo } from '../demo/demo-job'
import { frameSolid } from '../demo/frame-solid'
import { scanSolid } from '../demo/scan-solid'
import { command, EXIT, parsed, say, usage } from './command'
import { sha256 } from './files'

const HELP = `usage: npm run demo:make -- --facets N --seed S [--out FILE.stl] [--truth FILE.json]
  --noise 0.3        1 sigma along the normal, mm
  --asymmetry 5      how far the port side hangs low at the ring, mm
  --twist 0          one corner up, the next down, mm
  --bent-leg 0       bow of the after port leg, mm
  --wider 0          how much further out the port side stands, mm
  --holes 15  --islands 8
  --pose random      random: turned anyhow, metres away; none: job axes
  --unit mm          um, mm, cm, m, in or ft
  --quantise 0       rounds coordinates to this step, mm
   or: npm run demo:make -- --job FILE.mwjob [--truth FILE.json]
  the demo job with its accessories: always the same bytes
`

await command(async (args) => {
  const { values } = parsed(
    () =>
      parseArgs({
        args: [...args],
        options: {
          facets: { type: 'string', default: '100000' },
          seed: { type: 'string', default: '1' },
          out: { type: 'string' },
          truth: { type: 'string' },
          noise: { type: 'string', default: '0.3' },
          asymmetry: { type: 'string', default: '5' },
          twist: { type: 'string', default: '0' },
          'bent-leg': { type: 'string', default: '0' },
          wider: { type: 'string', default: '0' },
          holes: { type: 'string', default: '15' },
          islands: { type: 'string', default: '8' },
          pose: { type: 'string', default: 'random' },
          unit: { type: 'string', default: 'mm' },
          job: { type: 'string' },
          quantise: { type: 'string', default: '0' },
          help: { type: 'boolean', default: false },
        },
      }),
    'demo:make -- --help',
  )
  if (values.help) {
    process.stdout.write(HELP)
    return EXIT.done
  }
  if (values.job !== undefined) {
    const others = args.filter((word) => word.startsWith('--') && !/^--(job|truth)(=|$)/.test(word))
    if (others.length > 0) throw usage(`--job writes the one demo; ${others[0]} does not go with it`)
    const demo = withProgress(makeDemo(await accessories(), sha256))
    write(values.job, demo.bytes)
    if (values.truth) write(values.truth, JSON.stringify(demo.truth, null, 1))
    say(`${values.job}: ${demo.truth.scan.facets} facets, ${demo.bytes.length} bytes`)
    return EXIT.done
  }
  const seed = amount('seed', values.seed, 0, 2 ** 31, true)
  const pose = values.pose
  if (pose !== 'random' && pose !== 'none') throw usage(`--pose is "random" or "none", not "${pose}"`)
  const unit = values.unit as LengthUnit
  if (!(unit in MM_PER)) throw usage(`--unit is one of ${Object.keys(MM_PER).join(', ')}, not "${unit}"`)

  const { solid, truth } = frameSolid({
    seed,
    asymmetry_mm: amount('asymmetry', values.asymmetry, -50, 50),
    twist_mm: amount('twist', values.twist, -50, 50),
    bentLeg_mm: amount('bent-leg', values['bent-leg'], -60, 60),
    wider_mm: amount('wider', values.wider, -50, 50),
  })
  const facets = amount('facets', values.facets, 10_000, 8_000_000, true)
  const scan = withProgress(
    scanSolid(solid, truth, {
      seed,
      facets,
      noise_mm: amount('noise', values.noise, 0, 5),
      holes: amount('holes', values.holes, 0, 60, true),
      islands: amount('islands', values.islands, 0, 60, true),
      pose,
    }),
  )
  const out = values.out ?? `frame-s${seed}-${facets}.stl`
  const mesh = inUnit(roundedTo(scan.mesh, amount('quantise', values.quantise, 0, 1)), unit)
  write(out, writeStl(mesh, `scan of a welded frame, ${unit}`))
  if (values.truth) write(values.truth, JSON.stringify({ ...truth, scan: scan.truth }, null, 1))
  say(`${out}: ${scan.truth.facets} facets, mean edge ${scan.truth.meanEdge_mm.toFixed(2)} mm`)
  return EXIT.done
})

function amount(name: string, text: string, least: number, most: number, whole = false): number {
  const value = Number(text)
  if (text.trim() === '' || !(value >= least && value <= most) || (whole && !Number.isInteger(value)))
    throw usage(`--${name} wants a ${whole ? 'whole ' : ''}number from ${least} to ${most}, not "${text}"`)
  return value
}

function inUnit(mesh: Mesh<'scan'>, unit: LengthUnit): Mesh<'scan'> {
  if (unit === 'mm') return mesh
  return makeMesh(
    'scan',
    mesh.positions.map((value) => value / MM_PER[unit]),
    mesh.indices,
  )
}

function withProgress<T>(steps: Steps<T>): T {
  let shown = ''
  for (;;) {
    const step = steps.next()
    if (step.done) {
      if (process.stderr.isTTY) process.stderr.write('\r\x1b[K')
      return step.value
    }
    const { fraction, label } = typeof step.value === 'number' ? { fraction: step.value, label: '' } : step.value
    const line = `${Math.round(fraction * 100)} % ${label}`
    if (process.stderr.isTTY && line !== shown) process.stderr.write(`\r\x1b[K${line}`)
    shown = line
  }
}

function write(path: string, content: string | Uint8Array): void {
  mkdirSync(dirname(path), { recursive: true })
  writeFileSync(path, content)
}
