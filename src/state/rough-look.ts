/**
 * What the page shows roughly while a setting is chosen, and until its exact surface is there: a worker of its own answers
 * over a thinned frame. Nothing of it enters the job, the results or their keys.
 */
import type { RoughUnderside, ThinFrame } from '../core/clearance'
import { lineKey, roughRequest } from '../core/flow-rough'
import { Refused } from '../core/geometry/trouble'
import type { Job } from '../core/job'
import { hashOf } from '../core/job/canonical'
import type { Runner } from '../runner/runner'
import { resultsAtHand } from './results'
import type { Stores } from './stores'

export interface RoughHost {
  /** Thins the frame, once for each: it is where the frame is kept. */
  readonly runner: Runner
  /** Answers; nothing else waits there. */
  readonly own: Runner
  onDefect(error: unknown): void
}

/** The job that is to be shown roughly; null: nothing is being chosen, or the exact surface is there. */
export function roughJob(stores: Stores): Job | null {
  const { trial } = stores.session.getState()
  const { clearance } = stores.results.getState().steps
  const { job } = stores.jobs.getState().history
  if (!canAnswer(stores)) return null
  if (trial) return { ...job, clearance: { ...job.clearance, ...trial } }
  // Before there was a surface nobody waits for a change of it.
  return clearance.result && (clearance.is === 'running' || clearance.is === 'stale') ? job : null
}

/** Somebody has the settings before him, and the metal is known. */
function canAnswer({ session, results, jobs }: Stores): boolean {
  const { slip, question } = session.getState()
  const { scan, frame, datum } = results.getState().steps
  const { underside } = jobs.getState().history.job.clearance.imported
  if (slip !== 'clearance' || question !== 'clear' || underside) return false
  return scan.result !== null && frame.result !== null && datum.is === 'done'
}

/** @returns a way to stop it */
export function startRoughLook(stores: Stores, { runner, own, onDefect }: RoughHost): () => void {
  const { jobs, results, session } = stores
  let thin: { readonly of: string; readonly frame: ThinFrame } | null = null
  let line: { readonly key: string; readonly line: RoughUnderside['line'] } | null = null
  let shown = ''
  let busy = false
  let open = true

  const thinned = async (): Promise<ThinFrame | null> => {
    const { datum, scan } = results.getState().steps
    if (!datum.result || !scan.result) return null
    const { mesh } = datum.result
    if (thin?.of === mesh.id) return thin.frame
    const outcome = await runner.run('thinFrame', { frame: mesh, rimVertex: scan.result.rimVertex })
    if (!outcome.ok) return null
    thin = { of: mesh.id, frame: outcome.value }
    return outcome.value
  }

  const answer = async (job: Job, frame: ThinFrame): Promise<RoughUnderside | null> => {
    const key = lineKey(job, frame)
    const known = line?.key === key ? line.line : null
    const request = roughRequest(job, resultsAtHand(results.getState().steps), frame, known)
    const outcome = await own.run('roughUnderside', request)
    // What cannot be made is said by the exact step; there is nothing to show of it.
    if (!outcome.ok) return null
    line = { key, line: outcome.value.line }
    return outcome.value
  }

  /** So that the first answer is as quick as the next ones: the metal thinned, the skirt line known, the code warm. */
  const prepare = async (): Promise<void> => {
    if (!canAnswer(stores) || thin?.of === results.getState().steps.datum.result?.mesh.id) return
    const frame = await thinned()
    if (frame && open && canAnswer(stores)) await answer(jobs.getState().history.job, frame)
  }

  const look = async (): Promise<void> => {
    for (;;) {
      await prepare()
      const job = roughJob(stores)
      const wanted = job ? hashOf({ clearance: job.clearance, tubes: job.frame.tubes }) : ''
      if (!open || wanted === shown) {
        busy = false
        return
      }
      shown = wanted
      if (!job) {
        session.setState({ rough: null })
        continue
      }
      const frame = await thinned()
      const made = frame && (await answer(job, frame))
      // What was chosen meanwhile is answered next; what was just made is nearer to it than what is shown.
      if (open && roughJob(stores)) session.setState({ rough: made?.underside ?? null })
    }
  }
  const consider = () => {
    if (session.getState().trial && session.getState().slip !== 'clearance') session.setState({ trial: null })
    if (busy) return
    if (!canAnswer(stores) && session.getState().rough === null) return
    busy = true
    look().catch((error: unknown) => {
      busy = false
      if (session.getState().rough) session.setState({ rough: null })
      if (!(error instanceof Refused)) onDefect(error)
    })
  }
  const ends = [jobs.subscribe(consider), results.subscribe(consider), session.subscribe(consider)]
  return () => {
    open = false
    for (const end of ends) end()
  }
}
