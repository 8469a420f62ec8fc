import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { keepRevision, setClearance } from '../../../src/core/job'
import { buildPack, headlines, revisionDifference, revisionOf } from '../../../src/core/release'
import { jobWith } from '../../state/results-at-hand'
import { smallClearance } from '../tooling/shells'

const clearance = smallClearance()
const release = (job = jobWith(), results = { clearance }) =>
  revisionOf(
    job,
    results,
    drain(buildPack({ job, results, timings_s: {}, program: 'P 1' })).files,
    '2026-05-04T08:00:00Z',
  )

describe('revisions', () => {
  it('are kept in the job, once each, and survive the schema', () => {
    const job = jobWith()
    const kept = keepRevision(release()).apply(keepRevision(release()).apply(job))
    expect(kept.release.revisions).toHaveLength(1)
    expect(jobWith({ release: kept.release }).release.revisions).toEqual(kept.release.revisions)
    expect(kept.release.revisions[0]!.figures['leastGap_mm']).toBe(clearance.certificate.min_mm)
  })

  it('say what moved and by how much, and nothing when nothing did', () => {
    const before = release()
    expect(revisionDifference(before, release())).toEqual([])
    const lower = {
      clearance: { ...clearance, certificate: { ...clearance.certificate, min_mm: clearance.certificate.min_mm + 2 } },
    }
    const after = release(setClearance({ gap_mm: 14 }).apply(jobWith()), lower)
    const [first, second] = revisionDifference(before, after)
    expect(first).toMatch(/^leastGap \d+\.\d* mm → \d+\.\d* mm \(\+2\.00\)$/)
    expect(second).toBe('clearance gap 12 mm → 14 mm')
  })

  it('know places of fittings and no figure that is none', () => {
    const figures = headlines({ clearance })
    for (const v of Object.values(figures)) expect(Number.isFinite(v)).toBe(true)
    expect(figures['topsideTop_mm']).toBeGreaterThan(figures['innerSurfaceTop_mm']!)
  })
})
