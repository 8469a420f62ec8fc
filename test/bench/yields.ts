/**
 * The longest time that each step keeps its thread between two yields: a cancel waits at most that long. On a generated scan
 * of the asked size, and the check of that scan itself as a part.
 *
 *   npx tsx test/bench/yields.ts [facets]
 */
import { analysePart } from '../../src/core/analysis'
import { drain, type Steps } from '../../src/core/geometry/kernel'
import { makeMesh } from '../../src/core/geometry/mesh'
import { Refused } from '../../src/core/geometry/trouble'
import { adoptJob, parseJobValue, sha256Hex } from '../../src/core/job'
import { writeStl } from '../../src/core/release'
import { frameSolid, STRAIGHT_FRAME } from '../../src/demo/frame-solid'
import { scanSolid } from '../../src/demo/scan-solid'
import { planJob } from '../../src/runner/plan-job'
import type { Runner } from '../../src/runner/runner'
import { KERNELS } from '../../src/runner/step-map'

const facets = Number(process.argv[2] ?? 1_000_000)
const { solid, truth } = frameSolid({ ...STRAIGHT_FRAME, seed: 2, asymmetry_mm: 5 })
const scan = drain(
  scanSolid(solid, truth, { seed: 2, facets, noise_mm: 0.3, holes: 15, islands: 8, pose: 'random' }),
).mesh

/** Runs to the end and tells the longest slice, with the label that stood before it. */
function watched<T>(steps: Steps<T>): { value: T; longest_ms: number; label: string } {
  let [longest_ms, label, now, at] = [0, '', '', 0]
  for (;;) {
    at = performance.now()
    const step = steps.next()
    const took = performance.now() - at
    if (took > longest_ms) [longest_ms, label] = [took, now]
    if (step.done) return { value: step.value, longest_ms, label }
    if (typeof step.value === 'object' && 'label' in step.value)
      now = `${step.value.label} at ${step.value.fraction.toFixed(3)}`
  }
}

const tell = (name: string, { longest_ms, label }: { longest_ms: number; label: string }) =>
  console.log(
    `  ${name.padEnd(12)} ${longest_ms.toFixed(0).padStart(5)} ms, after “${label}”${longest_ms > 200 ? '  *' : ''}`,
  )

const runner: Runner = {
  async run(name, request) {
    try {
      const made = watched((KERNELS[name] as (q: typeof request) => Steps<never>)(request))
      tell(name, made)
      return { ok: true, value: made.value }
    } catch (error) {
      if (error instanceof Refused) return { ok: false, refusal: error.refusal }
      throw error
    }
  },
  dispose() {},
}

console.log(
  `longest slice between two yields, ${facets} facets asked; * is over the 200 ms within which a cancel is promised`,
)
const bytes = writeStl(scan)
const asset = { asset: sha256Hex(bytes.subarray(0, 1000)), name: 'frame.stl' }
const job = adoptJob(parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } }), () => asset)
await planJob(job, { runner, cache: new Map(), going: new Map(), bytes: () => bytes, now: () => performance.now() })
tell(
  'check',
  watched(
    analysePart({
      name: 'scan',
      mesh: makeMesh('job', scan.positions, scan.indices),
      pull: [0, 0, 1],
      minDraft_deg: 3,
      mirror: { normal: [0, 1, 0], offset_mm: 0 },
      radiusLimit_mm: 50,
      minRadius_mm: 12,
      noise_mm: 0.3,
    }),
  ),
)
