import { expect, test } from 'vitest'
import { IDENTITY, invertRigid, type Matrix4, multiply, transformPoint } from '../../src/core/geometry/axes'
import { bestMotion } from '../../src/core/geometry/best-motion'
import { bounds, type Mesh, transformMesh } from '../../src/core/geometry/mesh'
import { adoptJob, parseJobValue } from '../../src/core/job'
import { answerPlace, leaveAsked } from '../../src/state/asked-place'
import { addScanFiles, removeScanFile } from '../../src/state/edit'
import { createJobStore } from '../../src/state/job-store'
import { dropLayPair, layByPairs, layFit, layMarks, startLaying } from '../../src/state/laying'
import { changeStep, createResults } from '../../src/state/results'
import { createSession } from '../../src/state/session-store'
import type { Stores } from '../../src/state/stores'
import { box } from '../support/solids'

const file = (digit: string) => ({ asset: digit.repeat(64), name: `${digit}.stl` })

/** The first file's axes to the job's: a quarter turn about x. */
const DATUM: Matrix4 = [1, 0, 0, 5, 0, 0, -1, 0, 0, 1, 0, -8, 0, 0, 0, 1]
/** The second file's axes to the first's: a half turn about z and a shift. */
const KNOWN: Matrix4 = [-1, 0, 0, 300, 0, -1, 0, -40, 0, 0, 1, 12, 0, 0, 0, 1]

function laid(): { all: Stores; standing: Mesh<'scan'>; moving: Mesh<'scan'> } {
  const named = parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [file('a')] } })
  const job = adoptJob(named, () => file('a'))
  const all: Stores = { jobs: createJobStore(job, new Map()), results: createResults(), session: createSession() }
  all.jobs.getState().edit(addScanFiles([file('b')]))
  const datum = { motion: DATUM } as unknown as Parameters<typeof changeStep<'datum'>>[2]['result']
  changeStep(all.results, 'datum', { is: 'done', result: datum ?? null })
  const standing = transformMesh(box([0, 0, 0], [1000, 600, 200]), IDENTITY, 'scan')
  const moving = transformMesh(standing, invertRigid(KNOWN), 'scan')
  startLaying(all, 2, standing, moving)
  return { all, standing, moving }
}

/** Clicks a spot of the metal, told in the axes of the first file, on one of the two as drawn. */
function click(all: Stores, side: 'standing' | 'moving', spot: readonly [number, number, number]): boolean {
  const { drawn, shown } = all.session.getState().laying!
  const to = side === 'standing' ? shown.standing : multiply(shown.moving, invertRigid(KNOWN))
  return answerPlace(all, { meshId: drawn[side].id, facet: 0, at: transformPoint(to, spot), id: null })
}

const SPOTS = [
  [0, 0, 200],
  [1000, 0, 200],
  [1000, 600, 200],
] as const

test('a scan that is added is laid on the first, and taken out again with how it lay', () => {
  const { all } = laid()
  const scan = () => all.jobs.getState().history.job.scan
  expect(scan().register).toEqual([{ how: 'auto', pairs: [] }])
  all.jobs.getState().edit(addScanFiles([file('c')]))
  all.jobs.getState().edit(removeScanFile(2))
  expect(scan().files.map((f) => f.name)).toEqual(['a.stl', 'c.stl'])
  expect(scan().register).toHaveLength(1)
})

test('both are drawn upright beside each other, and do not touch', () => {
  const { standing, moving } = laid().all.session.getState().laying!.drawn
  const [a, b] = [bounds(standing), bounds(moving)]
  expect(b.max[1]).toBeLessThan(a.min[1])
  expect(b.min[2]).toBeCloseTo(a.min[2], 2)
  expect((b.min[0] + b.max[0]) / 2).toBeCloseTo((a.min[0] + a.max[0]) / 2, 2)
})

test('pairs that are picked on the drawing, in either order, hold the motion between the files', () => {
  const { all } = laid()
  for (const [i, spot] of SPOTS.entries()) {
    expect(layByPairs(all)).toBe(false)
    const sides = i === 1 ? (['moving', 'standing'] as const) : (['standing', 'moving'] as const)
    // A second thought: the last click on the same side counts.
    click(all, sides[0], [77, 0, 100])
    for (const side of sides) expect(click(all, side, spot)).toBe(true)
  }
  expect(layMarks(all.session.getState().laying!)).toHaveLength(6)
  expect(layFit(all.session.getState().laying!.pairs).rms_mm).toBeLessThan(0.02)
  expect(layByPairs(all)).toBe(true)
  const { how, pairs } = all.jobs.getState().history.job.scan.register![0]!
  expect(how).toBe('pairs')
  const { motion } = bestMotion(
    pairs.flatMap((p) => [...p.moving]),
    pairs.flatMap((p) => [...p.standing]),
  )
  for (let k = 0; k < 12; k++) expect(motion[k]!).toBeCloseTo(KNOWN[k]!, k % 4 === 3 ? 1 : 4)
  expect(all.session.getState()).toMatchObject({ laying: null, asked: null })
  all.jobs.getState().undo()
  expect(all.jobs.getState().history.job.scan.register![0]!.how).toBe('auto')
})

test('picks in a row or all in one spot are refused with the reason; another mesh is no answer', () => {
  const { all } = laid()
  for (const x of [0, 300, 1000]) for (const side of ['standing', 'moving'] as const) click(all, side, [x, 0, 200])
  expect(layFit(all.session.getState().laying!.pairs).fault).toMatch(/one line/)
  expect(layByPairs(all)).toBe(false)
  for (const _ of SPOTS) dropLayPair(all)
  for (const _ of SPOTS) for (const side of ['standing', 'moving'] as const) click(all, side, SPOTS[0])
  expect(layFit(all.session.getState().laying!.pairs).fault).toMatch(/all the same/)
  expect(answerPlace(all, { meshId: 'other', facet: 0, at: [0, 0, 0], id: null })).toBe(false)
  leaveAsked(all)
  expect(all.session.getState().laying).toBeNull()
  expect(all.jobs.getState().history.past).toHaveLength(1)
})
