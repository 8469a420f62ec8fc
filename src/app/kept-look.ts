/** Another state of the job beside the one as it is: its underside, dashed in the section of the drawing and of the glass. */
import { Refused } from '../core/geometry/trouble'
import type { Job } from '../core/job'
import { type PlanHost, planJob } from '../runner/plan-job'
import { assetBytes } from '../state/job-store'
import { askQuestion } from '../state/session-moves'
import type { Stores } from '../state/stores'
import { keptWords as words } from './kept-words'

/** Plans the shells of that state, or finds them still warm, and draws them. @throws only on a defect of ours */
export async function lookBeside(
  stores: Stores,
  host: Pick<PlanHost, 'runner' | 'cache' | 'now'>,
  job: Job,
  name: string,
): Promise<void> {
  const { jobs, session } = stores
  session.setState({ kept: { name, face: null }, notice: { kind: 'said', text: words.planning(name) } })
  // Another one may have been asked for meanwhile, or none.
  const wanted = () => session.getState().kept?.name === name
  try {
    const plan = await planJob(
      job,
      { ...host, going: new Map(), bytes: (hash) => assetBytes(jobs, hash) },
      {},
      { until: 'seats' },
    )
    const [refusal] = Object.values(plan.refused)
    const face = plan.results.clearance?.underside.face
    if (!face) throw new Refused(refusal?.code ?? 'cancelled', refusal?.message ?? words.cannot(name))
    if (!wanted()) return
    askQuestion(session, 'clear')
    const away = () => session.setState({ kept: null, notice: null })
    session.setState({
      kept: { name, face },
      notice: { kind: 'said', text: words.drawn(name), way: { words: words.away, go: away } },
    })
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    if (wanted()) session.setState({ kept: null, notice: { kind: 'refused', text: error.refusal.message } })
  }
}
