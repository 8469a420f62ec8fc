import { describe, expect, it } from 'vitest'
import { adoptJob, type Job, jobSchema, jobText, parseJobText, setShape, takeRemedy } from '../../../src/core/job'

const asset = { asset: 'a'.repeat(64), name: 'scan.stl' }
const job: Job = adoptJob(
  parseJobText(JSON.stringify({ format: 'mouldwright-job', version: 1, scan: { files: [asset] } })),
  () => asset,
)

describe('what the shell does apart from its plain settings', () => {
  it('is left alone by jobs that say nothing of it', () => {
    expect(job.clearance).toMatchObject({
      regions: [],
      bosses: [],
      trims: [],
      allowance: { laminate_mm: 0, shrinkage_percent: 0 },
      lands: { kind: 'none' },
    })
  })

  it('a cure that a finding offers is an edit as any other, and travels in the file', () => {
    const boss = { name: 'boss 1', at_mm: [10, 20], radius_mm: 40, draft_deg: 40 }
    const edit = takeRemedy({ words: 'put a boss over it', clearance: { bosses: [boss] } })
    expect(edit.title).toBe('put a boss over it')
    const after = edit.apply(job)
    expect(parseJobText(jobText(after)).clearance.bosses).toEqual([boss])
    expect(job.clearance.bosses).toEqual([])
  })

  it('what the schema would refuse in a file it refuses here', () => {
    const wild = setShape({ trims: [{ name: 'over', pitch_deg: 80, heel_deg: 0 }] }, 'over').apply(job)
    expect(jobSchema.safeParse(wild).success).toBe(false)
  })
})
