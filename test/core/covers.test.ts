/** A signature falls by itself when, and only when, something it covers changes; undo puts it back. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { coversNow, SIGNED_STEPS } from '../../src/core/covers'
import { FLOW, type FlowStep } from '../../src/core/flow'
import {
  applyEdit,
  canonicalJson,
  type Edit,
  type Job,
  type Role,
  setAnalysis,
  setBuild,
  setClearance,
  setDatum,
  setNoise,
  setRevision,
  setTitle,
  setTooling,
  startHistory,
  undo,
  waive,
} from '../../src/core/job'
import { jobWith } from '../state/results-at-hand'

const ROLES: readonly Role[] = ['designer', 'owner', 'toolmaker']

/** All steps that a role's figures come from, gathered from the table without any hash. */
function under(role: Role): readonly FlowStep[] {
  const seen = new Set<FlowStep>()
  const visit = (step: FlowStep) => {
    if (seen.has(step)) return
    seen.add(step)
    FLOW[step].after.forEach(visit)
  }
  SIGNED_STEPS[role].forEach(visit)
  return [...seen]
}

const readBy = (job: Job, role: Role): string =>
  under(role)
    .map((step) => canonicalJson(FLOW[step].reads(job)))
    .join()

const amount = fc.integer({ min: 1, max: 9 })
const edits: fc.Arbitrary<Edit> = fc.oneof(
  amount.map((v) => setClearance({ gap_mm: 10 + v })),
  amount.map((v) => setClearance({ skirt_mm: 40 + v })),
  amount.map((v) => setAnalysis({ radiusLimit_mm: 40 + v })),
  amount.map((v) => setBuild({ gelcoat_mm: v / 10 })),
  amount.map((v) => setTooling({ parts: v })),
  amount.map((v) => setNoise(v / 10)),
  fc.boolean().map((forwardFlipped) => setDatum({ forwardFlipped })),
  amount.map((v) => setTitle(`top ${v}`)),
  amount.map((v) => setRevision(`R${v}`)),
  amount.map((v) => waive({ finding: `f${v}`, by: 'A', reason: 'seen', at: '2026-01-01T00:00:00Z' })),
)

describe('what a signature covers', () => {
  it('changes exactly when something changes that its figures were made from, and undo restores it', () => {
    const lifted = { designer: 0, owner: 0, toolmaker: 0 }
    let kept = 0
    fc.assert(
      fc.property(fc.array(edits, { minLength: 1, maxLength: 4 }), (list) => {
        const start = startHistory(jobWith())
        const end = list.reduce(applyEdit, start)
        let back = end
        for (let i = 0; i < end.past.length; i++) back = undo(back)
        for (const role of ROLES) {
          const changed = readBy(start.job, role) !== readBy(end.job, role)
          if (changed) lifted[role]++
          else kept++
          expect(coversNow(end.job, role) !== coversNow(start.job, role)).toBe(changed)
          expect(coversNow(back.job, role)).toBe(coversNow(start.job, role))
        }
      }),
      { seed: 11, numRuns: 120 },
    )
    expect(Math.min(lifted.designer, lifted.owner, lifted.toolmaker, kept)).toBeGreaterThan(10)
  })

  it('of the designer stands when only the toolmaker’s rates change', () => {
    const job = jobWith()
    const dearer = setTooling({ parts: 7 }).apply(job)
    expect(ROLES.map((r) => coversNow(dearer, r) === coversNow(job, r))).toEqual([true, true, false])
  })
})
