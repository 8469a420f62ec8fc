import { expect, test } from 'vitest'
import { IDENTITY, invertRigid, type Matrix4 } from '../../src/core/geometry/axes'
import { drain } from '../../src/core/geometry/kernel'
import { transformMesh } from '../../src/core/geometry/mesh'
import { adoptJob, parseJobValue } from '../../src/core/job'
import { scanStep } from '../../src/core/scan'
import { answerPlace } from '../../src/state/asked-place'
import { applyCrop, type Crop, type CropSide, chooseSide, cropCount, cropLines, startCrop } from '../../src/state/crop'
import { createJobStore } from '../../src/state/job-store'
import { changeStep, createResults } from '../../src/state/results'
import { createSession } from '../../src/state/session-store'
import type { Stores } from '../../src/state/stores'
import { refusal } from '../support/refusals'
import { torus } from '../support/solids'
import { binaryStl, file } from '../support/write-mesh-files'

const asset = { asset: 'a'.repeat(64), name: 'a.stl' }
/** Scan axes to job axes: neither axis stays what it was. */
const MOTION: Matrix4 = [0, 0.6, -0.8, 300, 0, 0.8, 0.6, -70, 1, 0, 0, 25, 0, 0, 0, 1]

const drawn = torus(400, 40, 60, 12)
const bytes = binaryStl(transformMesh(drawn, invertRigid(MOTION), 'scan'))
const plain = { unit: 'mm', noise_mm: 0.1 } as const

function stores(): Stores {
  const named = parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset], repairs: [] } })
  const job = adoptJob(named, () => asset)
  const all: Stores = { jobs: createJobStore(job, new Map()), results: createResults(), session: createSession() }
  const datum = { mesh: drawn, motion: MOTION } as unknown as Parameters<typeof changeStep<'datum'>>[2]['result']
  changeStep(all.results, 'datum', { is: 'done', result: datum ?? null })
  return all
}

const facetsAfter = (all: Stores) =>
  drain(scanStep({ files: [file('a.stl', bytes)], ...plain, repairs: all.jobs.getState().history.job.scan.repairs }))
    .health.facets

const crops: readonly Crop[] = [
  ...(['below', 'above', 'aft', 'forward', 'starboard', 'port'] as const).map(
    (side: CropSide): Crop => ({ kind: 'side', side, at_mm: side === 'below' || side === 'above' ? 11.3 : 103.7 }),
  ),
  { kind: 'box', min: [-500, -201.3, -500], max: [307.1, 500, 20.9] },
]

test.each(crops)('what the page counts is what the repair takes: %o', (crop) => {
  const all = stores()
  all.session.setState({ crop })
  const { gone, all: facets } = cropCount(crop, drawn)
  expect(gone).toBeGreaterThan(0)
  expect(gone).toBeLessThan(facets)
  expect(applyCrop(all)).toBeNull()
  expect(facetsAfter(all)).toBe(facets - gone)
  expect(all.session.getState().crop).toBeNull()
  all.jobs.getState().undo()
  expect(facetsAfter(all)).toBe(facets)
})

test('it begins with nothing taken, and a click on the metal brings the plane there', () => {
  const all = stores()
  startCrop(all, 'side')
  expect(applyCrop(all)).toMatch(/nothing away/)
  answerPlace(all, { meshId: drawn.id, facet: 0, at: [1, 2, -3.14], id: null })
  expect(all.session.getState().crop).toEqual({ kind: 'side', side: 'below', at_mm: -3.1 })
  chooseSide(all, 'forward')
  expect(cropCount(all.session.getState().crop!, drawn).gone).toBe(0)
  answerPlace(all, { meshId: drawn.id, facet: 0, at: [1, 2, -3.14], id: null })
  expect(all.session.getState().crop).toMatchObject({ side: 'forward', at_mm: 1 })
  startCrop(all, 'box')
  expect(cropCount(all.session.getState().crop!, drawn).gone).toBe(0)
  all.session.setState({ crop: { kind: 'side', side: 'above', at_mm: -900 } })
  expect(applyCrop(all)).toMatch(/leave nothing/)
  expect(all.jobs.getState().history.past).toHaveLength(0)
})

test('a plane is drawn as four lines about the metal, a box as twelve', () => {
  expect(cropLines({ kind: 'side', side: 'below', at_mm: 7 }, drawn)).toHaveLength(4 * 6)
  expect(cropLines({ kind: 'box', min: [0, 0, 0], max: [1, 2, 3] }, drawn)).toHaveLength(12 * 6)
})

test('a box whose motion stretches is refused', () => {
  const motion = IDENTITY.map((v) => 2 * v)
  const repairs = [{ kind: 'crop-box', min: [0, 0, 0], max: [9, 9, 9], motion }] as const
  const { code } = refusal(() => scanStep({ files: [file('a.stl', bytes)], ...plain, repairs }))
  expect(code).toBe('setting-impossible')
})
