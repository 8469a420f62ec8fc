/** The shells against those of an earlier release, which is planned again from what the job keeps of it. */
import type { MovedSurface } from '../core/analysis'
import { Refused } from '../core/geometry/trouble'
import type { Revision } from '../core/job'
import { jobOfRevision } from '../core/release'
import { planJob, type ResultCache } from '../runner/plan-job'
import type { Runner } from '../runner/runner'
import { assetBytes } from '../state/job-store'
import { seatedClearance } from '../state/results'
import { askQuestion } from '../state/session-moves'
import type { Stores } from '../state/stores'

const PARTS = ['underside', 'topside'] as const

/** Works out what has moved since a release and lays it on the sheet. @throws only on a defect of ours */
export async function lookForMoved(
  stores: Stores,
  host: { readonly runner: Runner; readonly cache: ResultCache; readonly now: () => number },
  release: Revision,
): Promise<void> {
  const { jobs, results, session } = stores
  const name = `rev ${release.revision}`
  session.setState({
    moved: { release: release.contentHash, name, parts: null },
    notice: { kind: 'said', text: `Planning ${name} again` },
  })
  const wanted = () => session.getState().moved?.release === release.contentHash
  try {
    const plan = await planJob(
      jobOfRevision(release),
      { ...host, going: new Map(), bytes: (hash) => assetBytes(jobs, hash) },
      {
        onProgress: (_, { label }) =>
          wanted() && session.setState({ notice: { kind: 'said', text: `Planning ${name} again: ${label}` } }),
      },
      { until: 'seats' },
    )
    const before = plan.results.clearance
    const [refusal] = Object.values(plan.refused)
    if (!before) throw new Refused(refusal?.code ?? 'cancelled', refusal?.message ?? `${name} cannot be planned again.`)
    const now = seatedClearance(results.getState().steps)
    if (!now) throw new Refused('asset-missing', 'There are no shells yet that could have moved; wait for the plan.')
    const made: MovedSurface[] = []
    for (const part of PARTS) {
      const outcome = await host.runner.run('movedSurface', { now: now[part].face, before: before[part].face })
      if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
      made.push(outcome.value)
    }
    if (!wanted()) return
    const parts = { underside: made[0]!, topside: made[1]! }
    askQuestion(session, 'off')
    session.setState({ moved: { release: release.contentHash, name, parts }, map: 'moved', notice: null })
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    session.setState({ moved: null, notice: { kind: 'refused', text: error.refusal.message } })
  }
}
