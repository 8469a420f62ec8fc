import { expect, it } from 'vitest'
import { lookBeside } from '../../src/app/kept-look'
import { flowKeys } from '../../src/core/flow'
import { setClearance } from '../../src/core/job'
import type { Runner } from '../../src/runner/runner'
import { createJobStore } from '../../src/state/job-store'
import { recentCache } from '../../src/state/planner'
import { createSession } from '../../src/state/session-store'
import { datumWith, frameWith, jobWith, scanWith, shellsWith, storeWith } from '../state/results-at-hand'

const REFUSAL = { code: 'shape-impossible', message: 'clearance: it cannot be.' } as const
const refusing: Runner = { run: () => Promise.resolve({ ok: false, refusal: REFUSAL }), dispose() {} }

it('draws a state that is still warm without a run, and says what hinders one that cannot be planned', async () => {
  const then = jobWith()
  const now = setClearance({ gap_mm: 20 }).apply(then)
  const clearance = shellsWith({ verdict: 'proven' })
  const made = { scan: scanWith(), frame: frameWith(), datum: datumWith(), clearance }
  const stores = { jobs: createJobStore(now, new Map()), results: storeWith(now, made), session: createSession() }
  const cache = recentCache(20)
  const keys = flowKeys(then)
  const seats = { topside: null, underside: null, certificate: null, findings: [] }
  for (const [name, result] of Object.entries({ ...made, seats }))
    cache.set(keys[name as keyof typeof keys], { result, seconds: 1 })
  const host = { runner: refusing, cache, now: () => 0 }

  await lookBeside(stores, host, then, 'gap 12')
  expect(stores.session.getState().kept).toEqual({ name: 'gap 12', face: clearance.underside.face })
  const { notice } = stores.session.getState()
  expect(notice?.text).toContain('“gap 12”')
  notice?.way?.go()
  expect(stores.session.getState().kept).toBeNull()

  // Its scan is known, its shells are not, and the step refuses.
  await lookBeside(stores, host, setClearance({ gap_mm: 90 }).apply(then), 'gap 90')
  expect(stores.session.getState().kept).toBeNull()
  expect(stores.session.getState().notice).toMatchObject({ kind: 'refused', text: REFUSAL.message })
})
