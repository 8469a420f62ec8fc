/** The planner with a stop that a person can press: what is made stays, and the next edit (or `goOn`) begins again. */
import { FLOW_ORDER } from '../core/flow'
import type { ResultCache } from '../runner/plan-job'
import type { Runner } from '../runner/runner'
import { type Planner, startPlanner } from '../state/planner'
import { changeStep } from '../state/results'
import type { Stores } from '../state/stores'

export interface Work {
  stop(): void
  goOn(): void
}

export function startWork(stores: Stores, runner: Runner, cache: ResultCache, now: () => number): Work {
  const { jobs, results } = stores
  const begin = () => startPlanner(jobs, results, runner, cache, now)
  let planner: Planner | null = begin()
  const goOn = () => {
    planner?.stop()
    planner = begin()
  }
  jobs.subscribe((state, before) => {
    if (planner === null && state.history.job !== before.history.job) goOn()
  })
  return {
    stop() {
      planner?.stop()
      planner = null
      for (const name of FLOW_ORDER) {
        const step = results.getState().steps[name]
        if (step.is === 'running') changeStep(results, name, { is: step.result ? 'stale' : 'unmade', progress: null })
      }
    },
    goOn,
  }
}
