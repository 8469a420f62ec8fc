import { expect, test } from 'vitest'
import { invertRigid, type Point, transformPoint } from '../../src/core/geometry/axes'
import { adoptJob, parseJobValue } from '../../src/core/job'
import { answerPlace } from '../../src/state/asked-place'
import { askDatum, datumMarks, dropDatumPicks } from '../../src/state/datum-picks'
import { createJobStore } from '../../src/state/job-store'
import { changeStep, createResults } from '../../src/state/results'
import { createSession } from '../../src/state/session-store'
import type { Stores } from '../../src/state/stores'

const asset = { asset: 'a'.repeat(64), name: 'a.stl' }
/** Scan axes to job axes: a quarter turn about z and a shift. */
const MOTION = [0, -1, 0, 100, 1, 0, 0, -50, 0, 0, 1, 7, 0, 0, 0, 1]

function stores(withDatum = true): Stores {
  const job = adoptJob(parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } }), () => asset)
  const all: Stores = { jobs: createJobStore(job, new Map()), results: createResults(), session: createSession() }
  const scan = { mesh: { id: 'scan' } } as unknown as Parameters<typeof changeStep<'scan'>>[2]['result']
  changeStep(all.results, 'scan', { is: 'done', result: scan ?? null })
  const datum = { mesh: { id: 'job' }, motion: MOTION } as unknown as Parameters<
    typeof changeStep<'datum'>
  >[2]['result']
  if (withDatum) changeStep(all.results, 'datum', { is: 'done', result: datum ?? null })
  return all
}

const click = (all: Stores, at: readonly [number, number, number], meshId = 'job') =>
  answerPlace(all, { meshId, facet: 0, at, id: null })
const picksOf = (all: Stores) => all.jobs.getState().history.job.datum.picks

test('three clicks become the level, in scan axes and in one edit that undo takes back', () => {
  const all = stores()
  askDatum(all, 'level')
  const inScan: Point[] = [
    [10, 20, 30],
    [500, -3.25, 0],
    [-40, 900.5, 2],
  ]
  for (const p of inScan) {
    expect(picksOf(all)).toBeUndefined()
    expect(click(all, transformPoint(MOTION, p))).toBe(true)
  }
  expect(picksOf(all)).toEqual({ level: inScan, pairs: [], forward: [] })
  expect(all.session.getState().asked).toBeNull()
  expect(all.jobs.getState().history.past).toHaveLength(1)
  all.jobs.getState().undo()
  expect(picksOf(all)).toBeUndefined()
})

test('pairs go on until they are left, and each can be taken back', () => {
  const all = stores()
  askDatum(all, 'pairs')
  for (const y of [1, -1, 2, -2]) click(all, [0, y * 100, 0])
  expect(picksOf(all)?.pairs).toHaveLength(2)
  expect(all.session.getState().asked).toMatchObject({ for: 'datum', places: [] })
  dropDatumPicks(all, 'pairs', 0)
  expect(picksOf(all)?.pairs.map((p) => transformPoint(MOTION, p.port))).toEqual([[0, 200, 0]])
  dropDatumPicks(all, 'pairs', 0)
  expect(picksOf(all)).toBeUndefined()
})

test('until there is a datum the scan itself is picked; a shell or a remark is no place of the scan', () => {
  const all = stores(false)
  askDatum(all, 'forward')
  expect(click(all, [1, 2, 3], 'underside')).toBe(false)
  click(all, [1, 2, 3], 'scan')
  click(all, [500, 2, 3], 'scan')
  expect(picksOf(all)?.forward).toEqual([
    [1, 2, 3],
    [500, 2, 3],
  ])
  all.session.setState({ asked: { for: 'remark' } })
  expect(click(all, [1, 2, 3], 'scan')).toBe(false)
})

test('marks stand where the picks are drawn; a group that is picked anew shows its new places alone', () => {
  const drawn = (p: Point) => transformPoint(MOTION, p)
  const picks = {
    level: [[0, 0, 0] as const, [500, 0, 0] as const, [0, 500, 0] as const],
    pairs: [{ port: [1, 2, 3] as const, starboard: [4, 5, 6] as const }],
    forward: [],
  }
  const back = invertRigid(MOTION)
  const all = datumMarks(picks, null, drawn)
  expect(all.map((m) => m.words)).toEqual(['level', 'level', 'level', 'port 1', 'starboard 1'])
  expect(transformPoint(back, all[3]!.at).map(Math.round)).toEqual([1, 2, 3])
  expect(datumMarks(picks, { group: 'level', places: [[9, 9, 9]] }, drawn).map((m) => m.words)).toEqual([
    'port 1',
    'starboard 1',
    'level',
  ])
})
