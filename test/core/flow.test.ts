import { describe, expect, it } from 'vitest'
import { FLOW, FLOW_ORDER, type FlowStep, flowKeys } from '../../src/core/flow'
import {
  addFitting,
  adoptJob,
  changeFitting,
  type Edit,
  type Job,
  markTube,
  parseJobValue,
  plainFitting,
  setAnalysis,
  setClearance,
  setDatum,
  setNoise,
  setScanUnit,
  setTitle,
  sign,
  waive,
} from '../../src/core/job'

const asset = { asset: 'a'.repeat(64), name: 'frame.stl' }
const job: Job = addFitting(plainFitting('lamp', asset, [0, 0])).apply(
  adoptJob(parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } }), () => asset),
)

/** Steps whose key an edit changes. */
function staled(edit: Edit): FlowStep[] {
  const before = flowKeys(job)
  const after = flowKeys(edit.apply(job))
  return FLOW_ORDER.filter((name) => before[name] !== after[name])
}

describe('flow', () => {
  it('is in the order of the work: every step reads only earlier ones', () => {
    FLOW_ORDER.forEach((name, i) => {
      for (const earlier of FLOW[name].after) expect(FLOW_ORDER.indexOf(earlier)).toBeLessThan(i)
    })
  })

  it('a moved fitting never recomputes the crown', () => {
    const stale = staled(changeFitting('lamp', { at_mm: [10, 0] }))
    expect(stale).toContain('fitting')
    expect(stale).not.toContain('clearance')
    expect(stale).not.toContain('scan')
  })

  it.each<[string, Edit, FlowStep[]]>([
    ['title', setTitle('x'), []],
    ['a comment on a fitting', changeFitting('lamp', { comment: 'higher?' }), []],
    ['a signature', sign({ role: 'owner', name: 'n', at: 't', covers: 'b'.repeat(64), figures: {}, seal: null }), []],
    ['a waiver', waive({ finding: 'x', by: 'n', reason: 'r', at: 't' }), []],
  ])('%s stales nothing', (_, edit, steps) => {
    expect(staled(edit)).toEqual(steps)
  })

  it('the unit of the scan stales everything', () => {
    expect(staled(setScanUnit('mm'))).toEqual(FLOW_ORDER)
  })

  it('the pose stales what lives in job axes, not the tubes', () => {
    const stale = staled(setDatum({ forwardFlipped: true }))
    expect(stale).toContain('datum')
    expect(stale).toContain('clearance')
    expect(stale).not.toContain('frame')
  })

  it('gap and marks on tubes stale the shells and what stands on them', () => {
    for (const edit of [setClearance({ gap_mm: 13 }), markTube('t1', { role: 'bearing', gap_mm: null })]) {
      const stale = staled(edit)
      expect(stale).toEqual(expect.arrayContaining(['clearance', 'fitting', 'analysis']))
      expect(stale).not.toContain('datum')
    }
  })

  it('the asked draft of the analysis does not stale the shells', () => {
    expect(staled(setAnalysis({ minDraft_deg: 2 }))).toContain('analysis')
    expect(staled(setAnalysis({ minDraft_deg: 2 }))).not.toContain('clearance')
  })

  it('the same edit made twice comes back to the same keys', () => {
    const there = setNoise(0.2).apply(job)
    expect(flowKeys(setNoise(null).apply(there))).toEqual(flowKeys(job))
    expect(flowKeys(JSON.parse(JSON.stringify(job)) as Job)).toEqual(flowKeys(job))
  })
})
