/**
 * The whole plan, step by step, on a generated scan of the asked size: seconds a step, and the largest memory of the process.
 *
 *   npx tsx test/bench/plan.ts [facets]
 */
import { drain } from '../../src/core/geometry/kernel'
import { adoptJob, parseJobValue, sha256Hex } from '../../src/core/job'
import { buildPack, writeStl } from '../../src/core/release'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { planJob } from '../../src/runner/plan-job'
import { runHere } from '../../src/runner/run-here'
import { keepFigures } from './history'

const facets = Number(process.argv[2] ?? 1_000_000)
const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 2, asymmetry_mm: 5 })
const bytes = writeStl(
  drain(scanSolid(solid, truth, { seed: 2, facets, noise_mm: 0.3, holes: 15, islands: 8, pose: 'random' })).mesh,
)
const asset = { asset: sha256Hex(bytes.subarray(0, 1000)), name: 'frame.stl' }
const job = adoptJob(parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } }), () => asset)

let peak = 0
const watch = setInterval(() => {
  peak = Math.max(peak, process.memoryUsage().rss)
}, 50)
const now = () => performance.now()
const began = now()
const plan = await planJob(job, {
  runner: runHere({ giveWay: () => new Promise((resolve) => setImmediate(resolve)), now }),
  cache: new Map<string, unknown>(),
  going: new Map(),
  bytes: () => bytes,
  now,
})
const planned = now()
const pack = drain(buildPack({ job, results: plan.results, timings_s: plan.timings_s, program: 'bench' }))
const packed = now()
clearInterval(watch)
console.log(`${facets} facets asked, ${plan.results.scan?.health.facets ?? 0} in the scan`)
for (const [step, seconds] of Object.entries(plan.timings_s))
  console.log(`  ${step.padEnd(10)} ${seconds.toFixed(2)} s`)
console.log(`  ${'pack'.padEnd(10)} ${((packed - planned) / 1000).toFixed(2)} s, ${pack.files.length} files`)
console.log(
  `  ${'together'.padEnd(10)} ${((packed - began) / 1000).toFixed(2)} s, at most ${(peak / 1e6).toFixed(0)} MB`,
)
console.log(
  `  verdict ${plan.results.clearance?.certificate.verdict ?? 'none'}, refused ${JSON.stringify(plan.refused)}`,
)
keepFigures('plan', facets, { ...plan.timings_s, together: (packed - began) / 1000, peak_MB: peak / 1e6 })
