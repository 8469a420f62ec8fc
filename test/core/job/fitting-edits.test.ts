import { describe, expect, it } from 'vitest'
import { flowKeys } from '../../../src/core/flow'
import {
  addComment,
  addFitting,
  adoptJob,
  arrayFitting,
  changeComment,
  type Job,
  jobHash,
  jobText,
  parseJobText,
  plainFitting,
  removeComment,
} from '../../../src/core/job'

const asset = { asset: 'a'.repeat(64), name: 'scan.stl' }
const plain = (): Job =>
  addFitting(plainFitting('lamp', asset, [100, 20])).apply(
    adoptJob(
      parseJobText(
        JSON.stringify({ format: 'mouldwright-job', version: 1, scan: { files: [asset] }, clearance: { gap_mm: 9 } }),
      ),
      () => asset,
    ),
  )

describe('comments', () => {
  const remark = { author: 'A. Deckhand', text: 'further aft?', state: 'open', at: '2026-01-02T08:12:00Z' } as const

  it('travel in the job and change nothing that is worked out or signed', () => {
    const before = plain()
    const after = addComment({ ...remark, where: [1, 2, 3], fitting: 'lamp' }).apply(before)
    expect(parseJobText(jobText(after)).comments).toEqual([
      { ...remark, id: 'remark', where: [1, 2, 3], fitting: 'lamp' },
    ])
    expect(jobHash(after)).toBe(jobHash(before))
    expect(flowKeys(after)).toEqual(flowKeys(before))
  })

  it('are settled and taken away one by one', () => {
    let job = plain()
    for (let i = 0; i < 2; i++) job = addComment({ ...remark, where: null, fitting: null }).apply(job)
    expect(job.comments.map((c) => c.id)).toEqual(['remark', 'remark-2'])
    job = changeComment('remark-2', { state: 'settled' }).apply(job)
    expect(job.comments.map((c) => c.state)).toEqual(['open', 'settled'])
    expect(
      removeComment('remark')
        .apply(job)
        .comments.map((c) => c.id),
    ).toEqual(['remark-2'])
  })
})

describe('array along a line', () => {
  it('makes further ones with ids of their own, each one step on, and unlocked', () => {
    const job = plain()
    const own = { ...job, fittings: job.fittings.map((f) => ({ ...f, locked: true })) }
    const { fittings } = arrayFitting('lamp', 3, [50, -5]).apply(own)
    expect(fittings.map((f) => f.id)).toEqual(['lamp', 'lamp-2', 'lamp-3', 'lamp-4'])
    expect(fittings.map((f) => f.at_mm)).toEqual([
      [100, 20],
      [150, 15],
      [200, 10],
      [250, 5],
    ])
    expect(fittings.map((f) => f.locked)).toEqual([true, false, false, false])
    expect(() => arrayFitting('mast', 1, [1, 0]).apply(job)).toThrow(/no fitting/)
  })
})
