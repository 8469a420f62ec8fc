/**
 * Keeps the results up to date with the job. A change gives up the plan that is going on and begins the next; steps under way
 * that the next plan wants as well are taken over, the others are stopped.
 */
import { FLOW_ORDER, flowKeys } from '../core/flow'
import { jobHash } from '../core/job'
import { type Going, planJob, type ResultCache } from '../runner/plan-job'
import type { Runner } from '../runner/runner'
import { assetBytes, type JobStore } from './job-store'
import { changeStep, type ResultsStore } from './results'

export interface Planner {
  /** Resolves when the job as it is now has been planned, or refused. */
  settled(): Promise<void>
  stop(): void
}

export function startPlanner(
  jobs: JobStore,
  results: ResultsStore,
  runner: Runner,
  cache: ResultCache,
  now: () => number,
): Planner {
  let current: AbortController | null = null
  const going = new Map<string, Going>()
  let round: Promise<void> = Promise.resolve()

  const plan = async (signal: AbortSignal) => {
    const { job } = jobs.getState().history
    const keys = flowKeys(job)
    results.setState({ jobHash: jobHash(job), defect: null })
    for (const name of FLOW_ORDER) {
      const step = results.getState().steps[name]
      if (step.key === keys[name] && step.result)
        changeStep(results, name, { is: 'done', progress: null, refusal: null })
      else changeStep(results, name, { is: step.result ? 'stale' : 'unmade', progress: null, refusal: null })
    }
    const wanted = new Set<string>(Object.values(keys))
    for (const [key, step] of going) if (!wanted.has(key)) step.stop()
    const alive = () => !signal.aborted
    await planJob(
      job,
      { runner, cache, going, now, bytes: (hash) => assetBytes(jobs, hash) },
      {
        onStart: (name) =>
          alive() && changeStep(results, name, { is: 'running', progress: { fraction: 0, label: '' } }),
        onProgress: (name, progress) => alive() && changeStep(results, name, { progress }),
        onDone: (name, key, result, seconds) =>
          alive() && changeStep(results, name, { result, key, seconds, is: 'done', progress: null, refusal: null }),
        onRefused: (name, _, refusal) =>
          alive() && changeStep(results, name, { is: 'refused', refusal, progress: null }),
      },
      { signal },
    )
  }

  const begin = () => {
    current?.abort()
    const mine = new AbortController()
    current = mine
    round = plan(mine.signal).catch((error: unknown) => {
      if (!mine.signal.aborted) results.setState({ defect: error instanceof Error ? error.message : String(error) })
    })
  }

  const stopListening = jobs.subscribe((state, before) => {
    if (state.history.job !== before.history.job) begin()
  })
  begin()

  return {
    async settled() {
      for (let last: Promise<void> | null = null; last !== round; ) {
        last = round
        await last
      }
    },
    stop() {
      stopListening()
      current?.abort()
      for (const step of going.values()) step.stop()
    },
  }
}

/** Keeps the results used last, within a count: results of one job share most of their meshes. */
export function recentCache(most: number): ResultCache {
  const kept = new Map<string, unknown>()
  return {
    get(key) {
      const value = kept.get(key)
      if (value !== undefined) {
        kept.delete(key)
        kept.set(key, value)
      }
      return value
    },
    set(key, value) {
      kept.delete(key)
      kept.set(key, value)
      for (const oldest of kept.keys()) {
        if (kept.size <= most) break
        kept.delete(oldest)
      }
    },
  }
}
