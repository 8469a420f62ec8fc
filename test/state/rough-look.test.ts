import { describe, expect, it } from 'vitest'
import { flowKeys } from '../../src/core/flow'
import { setClearance } from '../../src/core/job'
import type { Runner } from '../../src/runner/runner'
import { createJobStore } from '../../src/state/job-store'
import { changeStep } from '../../src/state/results'
import { startRoughLook } from '../../src/state/rough-look'
import { createSession } from '../../src/state/session-store'
import { datumWith, frameWith, jobWith, scanWith, shellsWith, storeWith } from './results-at-hand'

interface Asked {
  readonly name: string
  readonly gap_mm: number | undefined
  answer(value: unknown): void
  refuse(): void
}

/** Answers when it is told to, and remembers what it was asked. */
function slowRunner(asked: Asked[]): Runner {
  const run = (name: string, request: { settings?: { gap_mm: number } }) =>
    new Promise((resolve) =>
      asked.push({
        name,
        gap_mm: request.settings?.gap_mm,
        answer: (value) => resolve({ ok: true, value }),
        refuse: () => resolve({ ok: false, refusal: { code: 'setting-impossible', message: 'It cannot be.' } }),
      }),
    )
  return { run: run as unknown as Runner['run'], dispose() {} }
}

const turns = async () => {
  for (let k = 0; k < 60; k++) await Promise.resolve()
}

function page() {
  const job = jobWith()
  const made = {
    scan: scanWith(),
    frame: frameWith(),
    datum: datumWith(),
    clearance: shellsWith({ verdict: 'proven' }),
  }
  const stores = { jobs: createJobStore(job, new Map()), results: storeWith(job, made), session: createSession() }
  const asked: Asked[] = []
  const runner = slowRunner(asked)
  const defects: unknown[] = []
  startRoughLook(stores, { runner, own: runner, onDefect: (error) => defects.push(error) })
  const { mesh } = made.datum
  const thin = { mesh, rimVertex: new Uint8Array(3), facetFrom: Uint32Array.of(0) }
  const shell = made.clearance.underside
  const answer = async (k: number, value: unknown = { underside: { ...shell }, line: null }) => {
    asked[k]!.answer(value)
    await turns()
  }
  return { stores, asked, answer, thin, defects, job }
}

describe('what is shown roughly while a setting is chosen', () => {
  it('answers the last value that was tried, not every one, and goes with the exact surface', async () => {
    const { stores, asked, answer, thin, defects } = page()
    const { session, jobs, results } = stores
    session.setState({ trial: { gap_mm: 13 } })
    await turns()
    // Nothing is tried where no settings are open.
    expect(asked).toEqual([])
    expect(session.getState().trial).toBeNull()

    session.setState({ slip: 'clearance' })
    await turns()
    await answer(0, thin)
    await answer(1)
    expect(asked.map((a) => a.name)).toEqual(['thinFrame', 'roughUnderside'])
    // That was only to be ready.
    expect(session.getState().rough).toBeNull()

    session.setState({ trial: { gap_mm: 14 } })
    await turns()
    for (const gap_mm of [15, 16]) session.setState({ trial: { gap_mm } })
    await turns()
    await answer(2)
    expect(session.getState().rough).not.toBeNull()
    await answer(3)
    expect(asked.slice(2).map((a) => a.gap_mm)).toEqual([14, 16])

    // Taken: what was shown is of the job as it is now, and is not made again.
    jobs.getState().edit(setClearance({ gap_mm: 16 }))
    changeStep(results, 'clearance', { is: 'running' })
    session.setState({ trial: null })
    await turns()
    expect(asked).toHaveLength(4)
    expect(session.getState().rough).not.toBeNull()
    const { job } = jobs.getState().history
    changeStep(results, 'clearance', { is: 'done', key: flowKeys(job).clearance })
    await turns()
    expect(session.getState().rough).toBeNull()
    expect(defects).toEqual([])
  })

  it('changes neither the job nor any key', async () => {
    const { stores, answer, thin, job } = page()
    const before = stores.results.getState()
    stores.session.setState({ slip: 'clearance', trial: { gap_mm: 30 } })
    await turns()
    await answer(0, thin)
    await answer(1)
    await answer(2)
    expect(stores.session.getState().rough).not.toBeNull()
    expect(stores.jobs.getState().history.job).toBe(job)
    expect(stores.results.getState()).toBe(before)
  })

  it('shows nothing of what cannot be made, and goes on with the next', async () => {
    const { stores, asked, answer, thin, defects } = page()
    stores.session.setState({ slip: 'clearance' })
    await turns()
    await answer(0, thin)
    await answer(1)
    stores.session.setState({ trial: { skirt_mm: 60 } })
    await turns()
    await answer(2)
    stores.session.setState({ trial: { skirt_mm: 11 } })
    await turns()
    asked[3]!.refuse()
    await turns()
    expect(stores.session.getState().rough).toBeNull()
    stores.session.setState({ trial: { skirt_mm: 50 } })
    await turns()
    await answer(4)
    expect(stores.session.getState().rough).not.toBeNull()
    expect(defects).toEqual([])
  })
})
