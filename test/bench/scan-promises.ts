/**
 * Scan, frame and datum on ten generated scans with known truth, each in a unit of its own: what is promised of them, as a
 * table. Its rows stand in docs/checked-against.md.
 *
 *   npx tsx test/bench/scan-promises.ts [facets] [first seed] [last seed]
 */
import { datumStep } from '../../src/core/datum'
import { type FrameResult, frameStep } from '../../src/core/frame'
import { type Matrix4, multiply, transformPoint } from '../../src/core/geometry/axes'
import { drain } from '../../src/core/geometry/kernel'
import { makeMesh } from '../../src/core/geometry/mesh'
import { writeStl } from '../../src/core/release'
import { scanStep } from '../../src/core/scan'
import { type LengthUnit, MM_PER } from '../../src/core/scan/types'
import { type FrameTruth, frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid, USUAL_SCAN } from '../../src/demo/scan-solid'
import { fromLine, partner } from '../support/tube-truth'

const facets = Number(process.argv[2] ?? 300_000)
const first = Number(process.argv[3] ?? 1)
const last = Number(process.argv[4] ?? 10)
/** Of one unit after another; µm is for scanners of small things. */
const UNITS: readonly LengthUnit[] = ['mm', 'cm', 'm', 'in', 'ft']
const DEG = 180 / Math.PI

console.log(
  '| seed | unit, read as | edge | low | plane, offset and worst angle | lowered side off | pitch off | tubes found, false, length | diameter off | axis off | feet, gussets, false | noise |',
)
console.log('| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |')
for (let seed = first; seed <= last; seed++) console.log(row(seed))

function row(seed: number): string {
  const unit = UNITS[seed % UNITS.length]!
  const asymmetry_mm = (seed * 3) % 11
  const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed, asymmetry_mm })
  const taken = drain(scanSolid(solid, truth, { ...USUAL_SCAN, seed, facets }))
  const { mesh } = taken
  const inUnit = makeMesh(
    'scan',
    mesh.positions.map((v) => v / MM_PER[unit]),
    mesh.indices,
  )
  const scan = drain(
    scanStep({
      files: [{ name: 'frame.stl', bytes: writeStl(inUnit) }],
      unit: 'auto',
      repairs: [{ kind: 'drop-islands', belowShare: 0.05 }],
      noise_mm: null,
    }),
  )
  const frame = drain(frameStep({ mesh: scan.mesh, rimVertex: scan.rimVertex, noise_mm: scan.health.noise_mm }))
  const noise_mm = Math.max(scan.health.noise_mm, frame.noise_mm || 0)
  const datum = drain(
    datumStep({
      mesh: scan.mesh,
      rimVertex: scan.rimVertex,
      noise_mm,
      setting: { matrix: 'auto', forwardFlipped: false, upFlipped: false, reading: 'plan-view' },
      tubes: frame.tubes,
    }),
  )
  // Nothing but a half turn may be left: forward is a guess.
  const left = multiply(datum.motion, taken.truth.jobToScan)
  const sign = left[0]! > 0 ? 1 : -1
  const worst_deg = Math.max(Math.abs(left[4]!), Math.abs(left[6]!)) * DEG
  const slope = (sign * datum.lowered.port_mm) / datum.lowered.halfWidth_mm
  const lowered_mm = slope * truth.loweredPort.at_mm - truth.loweredPort.mm
  const told = datum.lowered.canBeTold ? '' : ', said not to be told'
  const unitRead = scan.unit.unit === unit ? unit : `${unit}, ${scan.unit.unit} WRONG`
  return `| ${[
    seed,
    unitRead,
    `${taken.truth.meanEdge_mm.toFixed(1)} mm`,
    `${asymmetry_mm} mm`,
    `${Math.abs(left[7]!).toFixed(3)} mm, ${worst_deg.toFixed(3)}°`,
    `${Math.abs(lowered_mm).toFixed(3)} mm${told}`,
    `${(Math.abs(left[2]!) * DEG).toFixed(3)}°`,
    ...tubes(truth, frame, taken.truth.jobToScan),
    plates(truth, frame, taken.truth.jobToScan),
    `${noise_mm.toFixed(3)} mm (true 0.3)`,
  ].join(' | ')} |`
}

function tubes(truth: FrameTruth, frame: FrameResult, jobToScan: Matrix4) {
  const matched = new Set<string>()
  let length = 0
  let all = 0
  let diameter_mm = 0
  let axis_mm = 0
  for (const one of truth.tubes) {
    const there = { ...one, axis: one.axis.map((p) => transformPoint(jobToScan, [p[0], p[1], p[2]])) }
    const { tube, share } = partner(there, frame.tubes)
    length += share * one.axis.length
    all += one.axis.length
    if (share === 0) continue
    matched.add(tube.id)
    diameter_mm = Math.max(diameter_mm, Math.abs(tube.diameter_mm - one.diameter_mm))
    const flat = there.axis.flatMap((p) => [...p])
    const clean = [...tube.clean.keys()].filter((k) => tube.clean[k])
    const off = clean.map((k) => fromLine([...tube.axis.subarray(3 * k, 3 * k + 3)], flat, one.closed))
    axis_mm = Math.max(axis_mm, one.closed ? 0 : Math.max(off[0] ?? 0, off.at(-1) ?? 0))
  }
  return [
    `${matched.size} of ${truth.tubes.length}, ${frame.tubes.length - matched.size}, ${((100 * length) / all).toFixed(1)} %`,
    `${diameter_mm.toFixed(3)} mm`,
    `${axis_mm.toFixed(3)} mm`,
  ]
}

function plates(truth: FrameTruth, frame: FrameResult, jobToScan: Matrix4) {
  const matched = new Set<string>()
  const found = { foot: 0, gusset: 0 }
  const there = { foot: 0, gusset: 0 }
  for (const one of truth.plates) {
    const kind = one.name.startsWith('foot') ? 'foot' : 'gusset'
    there[kind]++
    const n = one.outline.length
    const u = one.outline.reduce((s, p) => s + p[0] / n, 0)
    const v = one.outline.reduce((s, p) => s + p[1] / n, 0)
    const at = transformPoint(
      jobToScan,
      [0, 1, 2].map((k) => one.at[k]! + u * one.u[k]! + v * one.v[k]!) as [number, number, number],
    )
    const plate = frame.plates.find(
      (p) =>
        Math.hypot(p.at[0] - at[0], p.at[1] - at[1], p.at[2] - at[2]) < 90 &&
        Math.abs([0, 1, 2].reduce((s, k) => s + p.normal[k]! * (p.at[k]! - at[k]!), 0)) < 4,
    )
    if (!plate) continue
    matched.add(plate.id)
    found[kind]++
  }
  return `${found.foot} of ${there.foot}, ${found.gusset} of ${there.gusset}, ${frame.plates.length - matched.size}`
}
