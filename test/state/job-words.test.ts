/** What the page says about jobs: changes, places, signatures, matrices, and what it refuses to set. */
import { describe, expect, test } from 'vitest'
import { applyEdit, redo, setClearance, setTitle, startHistory, undo } from '../../src/core/job'
import { changeRows, recordFigures } from '../../src/state/change-figures'
import { asOfWords, describeChange, stepKeys } from '../../src/state/describe-change'
import { addFitting, plainFitting, setAnalysis, setBuild, setTooling, sign, tryEdit } from '../../src/state/edit'
import { createJobStore } from '../../src/state/job-store'
import { placeWords, reachOf } from '../../src/state/place-words'
import { readRigidMatrix } from '../../src/state/read-matrix'
import { changeStep } from '../../src/state/results'
import { coversNow, signatureState } from '../../src/state/signature-state'
import {
  datumWith,
  frameWith,
  jobWith,
  type Made,
  partWith,
  placedWith,
  putResults,
  scanWith,
  shellsWith,
  storeWith,
} from './results-at-hand'

describe('changes', () => {
  test('one setting is told as before → after, in the unit that is shown', () => {
    const job = jobWith({ clearance: { gap_mm: 14 } })
    const edit = setClearance({ gap_mm: 12.7 })
    const after = edit.apply(job)
    expect(describeChange(job, after, edit.title, 'mm')).toBe('gap 14 mm → 12.7 mm')
    expect(describeChange(job, after, edit.title, 'in')).toBe('gap 0.5512 in → 1/2 in')
    expect(describeChange(job, setTitle('x').apply(job), 'title', 'mm')).toBe('title')
  })

  test('a result is told to be of an earlier job, of an undone one, or of one not known', () => {
    const job = jobWith()
    let history = applyEdit(startHistory(job), setClearance({ skirt_mm: 60 }))
    const key = stepKeys(job).clearance
    expect(asOfWords(history, 'clearance', key, 'mm')).toBe('as of 45 mm skirt')
    const ahead = stepKeys(history.job).clearance
    history = undo(history)
    expect(asOfWords(history, 'clearance', ahead, 'mm')).toBe('as of 60 mm skirt')
    history = applyEdit(
      redo(history),
      addFitting(plainFitting('lamp', { asset: 'b'.repeat(64), name: 'lamp.stl' }, [0, 0])),
    )
    expect(asOfWords(history, 'fitting', stepKeys(redo(undo(history)).past[1]!.before).fitting, 'mm')).toBe(
      'as of before “add lamp”',
    )
    expect(asOfWords(history, 'clearance', 'no such key', 'mm')).toBe('as of an earlier job')
  })
})

test('places are named from the middle of the top and its half width', () => {
  const reach = reachOf([-1000, -900, 1400, -900, 1400, 900, -1000, 900])
  expect(reach).toEqual({ middle_mm: 200, halfLength_mm: 1200, halfWidth_mm: 900 })
  expect(placeWords([900, -400, 0], reach)).toBe('forward to starboard')
  expect(placeWords([200, 50, 0], reach)).toBe('amidships on the centreline')
  expect(placeWords([-800, 800, 0], reach)).toBe('aft to port')
})

describe('signatures', () => {
  const signed = (job = jobWith()) =>
    sign({
      role: 'designer',
      name: 'a lofter',
      at: '2026-11-24T16:52:00Z',
      covers: coversNow(job, 'designer'),
      figures: {},
      seal: null,
    })

  test('stands while what it covers is unchanged, whatever else is signed, waived or fitted', () => {
    const history = applyEdit(startHistory(jobWith()), signed())
    expect(signatureState(history, 'designer', 'mm').lifted).toBe(false)
    const more = applyEdit(
      history,
      addFitting(plainFitting('lamp', { asset: 'b'.repeat(64), name: 'lamp.stl' }, [0, 0])),
    )
    expect(signatureState(more, 'designer', 'mm').lifted).toBe(false)
    expect(coversNow(more.job, 'owner')).not.toBe(coversNow(history.job, 'owner'))
  })

  test('any change under it lifts it and says why; taking the change back puts it back', () => {
    let history = applyEdit(applyEdit(startHistory(jobWith()), signed()), setClearance({ gap_mm: 14 }))
    expect(signatureState(history, 'designer', 'mm')).toMatchObject({ lifted: true, because: 'gap 12 mm → 14 mm' })
    history = undo(history)
    expect(signatureState(history, 'designer', 'mm').lifted).toBe(false)
  })

  test.each([
    ['the tools', setTooling({ parts: 9 })],
    ['the laminate', setBuild({ gelcoat_mm: 0.7 })],
    ['the asked draft', setAnalysis({ minDraft_deg: 2 })],
  ])('%s are the toolmaker’s, and nobody else’s', (_, edit) => {
    const before = jobWith()
    const after = edit.apply(before)
    expect(coversNow(after, 'toolmaker')).not.toBe(coversNow(before, 'toolmaker'))
    expect(coversNow(after, 'designer')).toBe(coversNow(before, 'designer'))
    expect(coversNow(after, 'owner')).toBe(coversNow(before, 'owner'))
  })

  test('after a reload the history is gone, and the reason with it', () => {
    const job = setClearance({ gap_mm: 14 }).apply(signed().apply(jobWith()))
    expect(signatureState(startHistory(job), 'designer', 'mm')).toMatchObject({
      lifted: true,
      because: 'what was signed has changed since',
    })
  })
})

describe('edits are guarded by the schema', () => {
  test.each([
    [{ gap_mm: 501 }, 'At most 500.'],
    [{ gap_mm: -1 }, 'At least 0.'],
    [{ draft_deg: 31 }, 'At most 30.'],
  ])('%j', (change, words) => {
    const jobs = createJobStore(jobWith(), new Map())
    expect(tryEdit(jobs, setClearance(change))).toBe(words)
    expect(jobs.getState().history.past).toHaveLength(0)
  })

  test('a good one is applied once', () => {
    const jobs = createJobStore(jobWith(), new Map())
    expect(tryEdit(jobs, setClearance({ gap_mm: 14 }))).toBeNull()
    expect(jobs.getState().history.past).toHaveLength(1)
  })
})

describe('a typed matrix', () => {
  const turned = '0.8 -0.6 0 10\n0.6 0.8 0 -20\n0 0 1 30'

  test('twelve or sixteen numbers, with rounding taken out', () => {
    const read = readRigidMatrix(turned)
    expect(read).toEqual({ matrix: [0.8, -0.6, 0, 10, 0.6, 0.8, 0, -20, 0, 0, 1, 30, 0, 0, 0, 1] })
    const rounded = readRigidMatrix('0.86603 −0.5 0 0, 0.5 0.86603 0 0, 0 0 1 0, 0 0 0 1')
    if (!('matrix' in rounded)) throw new Error(rounded.fault)
    const [a, b] = rounded.matrix as [number, number]
    expect(a * a + b * b).toBeCloseTo(1, 14)
  })

  test.each([
    ['1 0 0', /Twelve or sixteen/],
    [turned.replace('0.8', 'x'), /numbers/],
    ['2 0 0 0 0 2 0 0 0 0 2 0', /not a rigid motion/],
    ['1 0 0 0 0 -1 0 0 0 0 1 0', /mirrors/],
    [`${turned} 0 0 0 2`, /last row/],
  ])('%s', (text, fault) => {
    const read = readRigidMatrix(text)
    expect('fault' in read && read.fault).toMatch(fault)
  })
})

describe('what a change did', () => {
  const made = (gap_mm: number, crown_mm: number, minDraft_deg = 3): Made => ({
    scan: scanWith(),
    frame: frameWith(),
    datum: datumWith(),
    clearance: shellsWith({ verdict: 'proven', min_mm: gap_mm }, [], crown_mm),
    fitting: placedWith([]),
    analysis: { parts: [partWith('underside', { minDraft_deg }), partWith('topside')], asMade: [], findings: [] },
  })

  test('figures are kept by job; an edit that has only raised the hash does not take over the old ones', () => {
    const job = jobWith()
    const jobs = createJobStore(job, new Map())
    const all = made(12.6, 300)
    const results = storeWith(job, all)
    // Steps that these tests make no result for count as made.
    for (const name of Object.keys(results.getState().steps) as (keyof Made)[])
      if (!all[name]) changeStep(results, name, { is: 'done', key: stepKeys(job)[name] })
    const record = recordFigures(jobs, results)
    expect(record.of(job)?.leastGap_mm).toBe(12.6)

    jobs.getState().edit(setClearance({ gap_mm: 14 }))
    const after = jobs.getState().history.job
    results.setState({ jobHash: 'raised before the steps are stale' })
    expect(record.of(after)).toBeNull()

    putResults(results, after, made(14.6, 302.1))
    for (const name of Object.keys(results.getState().steps) as (keyof Made)[])
      changeStep(results, name, { is: 'done', key: stepKeys(after)[name] })
    expect(record.of(after)?.leastGap_mm).toBe(14.6)
    const rows = changeRows(record.of(job)!, record.of(after)!, 'mm')
    expect(rows).toEqual([
      { label: 'least gap', text: '12.6 → 14.6 mm' },
      { label: 'crown', text: '+2.1 mm' },
    ])
    record.stop()
  })
})
