/** Other pulls of a shell, worked out behind the wall when somebody asks; the plan knows nothing of it. */
import { Refused } from '../core/geometry/trouble'
import type { Runner } from '../runner/runner'
import { seatedClearance } from '../state/results'
import type { PullLook } from '../state/session-store'
import type { Stores } from '../state/stores'

type Part = PullLook['part']

export const lookForPulls = (stores: Stores, runner: Runner, part: Part, symmetric: boolean): Promise<void> =>
  look(stores, part, async (mesh) => {
    const outcome = await runner.run('pullMap', { mesh, symmetric, split: true })
    return outcome.ok ? { map: outcome.value } : refuse(outcome.refusal)
  })

export const tryPull = (
  stores: Stores,
  runner: Runner,
  part: Part,
  pull: readonly [number, number, number],
): Promise<void> =>
  look(stores, part, async (mesh) => {
    const { minDraft_deg } = stores.jobs.getState().history.job.analysis
    const { draft_deg } = stores.jobs.getState().history.job.clearance
    const outcome = await runner.run('pullStudy', { mesh, pull, minDraft_deg: minDraft_deg ?? draft_deg })
    return outcome.ok ? { chosen: outcome.value } : refuse(outcome.refusal)
  })

type Face = NonNullable<ReturnType<typeof faceOf>>

const faceOf = ({ results }: Stores, part: Part) => seatedClearance(results.getState().steps)?.[part].face ?? null

async function look(
  stores: Stores,
  part: Part,
  ask: (mesh: Face) => Promise<Pick<PullLook, 'map'> | Pick<PullLook, 'chosen'>>,
): Promise<void> {
  const { session } = stores
  const mesh = faceOf(stores, part)
  if (!mesh) return
  const before = session.getState().pulls
  const kept = before?.meshId === mesh.id ? before : { part, meshId: mesh.id, map: null, chosen: null, busy: true }
  session.setState({ pulls: { ...kept, busy: true } })
  const mine = (p: PullLook | null): p is PullLook => p?.meshId === mesh.id
  try {
    const made = await ask(mesh)
    // Whoever went on to another question, or another shell, meanwhile has no use for it.
    session.setState((s) =>
      mine(s.pulls) ? { pulls: { ...s.pulls, ...made, busy: false }, ...('chosen' in made && { map: 'locked' }) } : {},
    )
  } catch (error) {
    session.setState((s) => (mine(s.pulls) ? { pulls: { ...s.pulls, busy: false } } : {}))
    if (!(error instanceof Refused)) throw error
    session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
  }
}

function refuse(refusal: Refused['refusal']): never {
  throw new Refused(refusal.code, refusal.message)
}
