/** The jobs kept in this browser, as the page asks for them; and what each answered, noted once it is worked out. */
import { FLOW_ORDER } from '../core/flow'
import { Refused } from '../core/geometry/trouble'
import { answers } from '../state/answers'
import type { JobShelf, ToldAnswers } from '../state/browser-store'
import { stepKeys } from '../state/describe-change'
import { jobOfSaved } from '../state/save'
import { leaveJob } from '../state/session-moves'
import type { Stores } from '../state/stores'
import type { TabKeeping } from './one-tab'

/** A plan settles step by step; the answers are noted when nothing has moved for this long, ms. */
const SETTLED_MS = 400

/** Opens a kept job as it was left. @throws only on a defect of ours */
export async function openKept(stores: Stores, shelf: JobShelf, id: string): Promise<void> {
  const { jobs, session } = stores
  try {
    const kept = await shelf.readKept(id)
    if (!kept) throw new Refused('asset-missing', 'That job is no longer kept here: another tab took it away.')
    const job = jobOfSaved(kept.saved)
    jobs.getState().open(job, kept.assets, id)
    leaveJob(session)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
  }
}

/** Notes the three answers beside the job that is kept, whenever it has been worked out to its end. */
export function noteAnswers(stores: Stores, shelf: JobShelf, tab: TabKeeping): void {
  const { jobs, results } = stores
  let timer: ReturnType<typeof setTimeout> | null = null
  const note = async () => {
    const { id, history } = jobs.getState()
    const told = toldAnswers(stores)
    // The write of a change forgets what was answered before it, so it goes first.
    if (told && (await tab.flush()) && jobs.getState().history.job === history.job) await shelf.tell(id, told)
  }
  const wait = () => {
    if (timer !== null) clearTimeout(timer)
    // A list without answers is no loss worth a word.
    timer = setTimeout(() => void note().catch(() => undefined), SETTLED_MS)
  }
  results.subscribe(wait)
  jobs.subscribe((state, before) => {
    if (state.history.job !== before.history.job) wait()
  })
}

/** Null while something of the job as it is has yet to be worked out. */
function toldAnswers({ jobs, results }: Stores): ToldAnswers | null {
  const { history } = jobs.getState()
  const state = results.getState()
  const keys = stepKeys(history.job)
  const settled = FLOW_ORDER.every((name) => {
    const step = state.steps[name]
    return step.is === 'refused' || (step.is === 'done' && step.key === keys[name])
  })
  if (!settled) return null
  const { clear, live, off } = answers({ results: state, history, unit: 'mm' })
  return { clear: clear.short, live: live.short, off: off.short }
}
