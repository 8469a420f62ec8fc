/** The gap map on the metal: worked out when it is looked at, for the shell as it is now. */
import type { MetalMap } from '../core/clearance'
import { askedGaps_mm } from '../core/flow-readings'
import { Refused } from '../core/geometry/trouble'
import type { Runner } from '../runner/runner'
import { resultsAtHand, seatedClearance } from './results'
import type { Stores } from './stores'

export interface MetalLook extends MetalMap {
  /** Of which face and frame. */
  readonly of: string
}

const NONE = ''

/** Which map is asked for; '' where none is, or the shell is not of the job as it is. */
function wanted({ session, results }: Stores): string {
  const { map, question } = session.getState()
  const { steps } = results.getState()
  if (map !== 'metal' || question !== 'clear' || steps.clearance.is !== 'done' || !steps.datum.result) return NONE
  return `${seatedClearance(steps)!.underside.face.id} ${steps.datum.result.mesh.id}`
}

/** @returns a way to stop it */
export function startMetalLook(stores: Stores, runner: Runner, onDefect: (error: unknown) => void): () => void {
  const { jobs, results, session } = stores
  let under: { readonly of: string; readonly stop: AbortController } | null = null

  const make = async (of: string, signal: AbortSignal): Promise<void> => {
    const { steps } = results.getState()
    const { job } = jobs.getState().history
    const request = {
      frame: steps.datum.result!.mesh,
      face: seatedClearance(steps)!.underside.face,
      gap: askedGaps_mm(job, resultsAtHand(steps)) ?? job.clearance.gap_mm,
    }
    const outcome = await runner.run('metalMap', request, { signal })
    if (outcome.ok && !signal.aborted) session.setState({ metal: { ...outcome.value, of } })
  }
  const consider = () => {
    const of = wanted(stores)
    if (of === NONE ? under === null : under?.of === of || session.getState().metal?.of === of) return
    under?.stop.abort()
    under = null
    if (of === NONE) return
    const mine = { of, stop: new AbortController() }
    under = mine
    make(of, mine.stop.signal)
      .catch((error: unknown) => {
        if (!(error instanceof Refused)) onDefect(error)
      })
      .finally(() => {
        if (under === mine) under = null
      })
  }
  const ends = [results.subscribe(consider), session.subscribe(consider)]
  consider()
  return () => {
    for (const end of ends) end()
    under?.stop.abort()
  }
}
