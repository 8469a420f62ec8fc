/** Moves of one person through the page: asking a question, opening a step, going to a finding. None of it is in the job. */
import type { Point } from '../core/geometry/axes'
import { transformPoint } from '../core/geometry/axes'
import type { Finding, StepName } from '../core/geometry/trouble'
import { questionOfStep } from './answers'
import type { StepStates } from './results'
import type { MapName, Question, SessionStore, ViewName } from './session-store'
import type { Stores } from './stores'

const FIRST_MAP: { readonly [Q in Question]: MapName } = { clear: 'gap', live: 'none', off: 'draft', release: 'none' }
const FIRST_VIEW: { readonly [Q in Question]: ViewName } = {
  clear: 'starboard-forward',
  live: 'starboard-aft',
  off: 'starboard-forward',
  release: 'starboard-forward',
}

/** The step that stands for a question on the batten. */
export const STEP_OF_QUESTION: { readonly [Q in Question]: StepName } = {
  clear: 'clearance',
  live: 'fitting',
  off: 'analysis',
  release: 'release',
}

export function askQuestion(session: SessionStore, question: Question): void {
  session.setState((s) =>
    s.question === question
      ? { finding: null, section: null, lookAt: null, notice: null }
      : {
          question,
          slip: null,
          held: null,
          pulls: null,
          finding: null,
          section: null,
          lookAt: null,
          uncut: false,
          notice: null,
          map: FIRST_MAP[question],
          view: FIRST_VIEW[question],
          viewAsked: s.viewAsked + 1,
        },
  )
}

/** Another job was opened: what was chosen in the one before is not in it. */
export function leaveJob(session: SessionStore): void {
  session.setState({
    slip: null,
    finding: null,
    section: null,
    fitting: null,
    held: null,
    pulls: null,
    moved: null,
    kept: null,
    trial: null,
    rough: null,
    metal: null,
    outlinePoint: 0,
    placing: null,
    asked: null,
    crop: null,
    laying: null,
    remarkAt: null,
    limits: {},
    notice: null,
  })
}

/** From what the one at the helm sees back to the drawing of the question. */
export function leaveHelm(session: SessionStore): void {
  session.setState((s) => ({ view: FIRST_VIEW[s.question], viewAsked: s.viewAsked + 1 }))
}

/** Opens a step's slip, and the question it belongs to; the release has a page instead of a slip. */
export function openStep(session: SessionStore, step: StepName): void {
  askQuestion(session, step === 'release' ? 'release' : questionOfStep(step))
  if (step !== 'release') session.setState({ slip: step })
}

/** The place of a finding in job axes; the early steps give theirs in scan axes. Null until there is a datum. */
export function findingPlace(finding: Finding, steps: StepStates): Point<'job'> | null {
  if (!finding.where) return null
  if (finding.step !== 'scan' && finding.step !== 'frame' && finding.step !== 'datum')
    return [finding.where[0], finding.where[1], finding.where[2]]
  const motion = steps.datum.result?.motion
  return motion ? transformPoint(motion, finding.where) : null
}

/** Flies to a place of the scan. Until there is a datum the metal is drawn in scan axes, and so is the place. */
export function flyToScan({ session, results }: Stores, at: Point<'scan'>): void {
  const motion = results.getState().steps.datum.result?.motion
  const [x, y, z] = motion ? transformPoint(motion, at) : at
  session.setState({ lookAt: [x, y, z], finding: null, section: null, notice: null })
}

/** Chooses a finding: the camera flies there and a section is cut through the spot, fore and aft. */
export function chooseFinding(session: SessionStore, finding: Finding, steps: StepStates): void {
  const question = questionOfStep(finding.step)
  if (session.getState().question !== question) askQuestion(session, question)
  const spot = findingPlace(finding, steps)
  session.setState({
    finding: finding.id,
    notice: null,
    uncut: false,
    apart: false,
    section: spot ? { across: 'y', at_mm: spot[1], spot } : null,
  })
}

/** Opens the row of a tube, or shuts it when it is open; null shuts any. */
export function chooseTube(session: SessionStore, id: string | null): void {
  session.setState((s) => ({ tube: s.tube === id ? null : id, notice: null }))
}

/** Tubes that are pointed at. An equal list changes nothing: pointers move often. */
export function lightTubes(session: SessionStore, ids: readonly string[]): void {
  const { tubesLit } = session.getState()
  if (tubesLit.length !== ids.length || ids.some((id, i) => id !== tubesLit[i])) session.setState({ tubesLit: ids })
}

export type Look = 'measuring' | 'apart' | 'through' | 'figure'

export function toggleLook(session: SessionStore, look: Look): void {
  session.setState((s) => ({ [look]: !s[look], notice: null }))
}

/** The next way of cutting: at the spot of the question, athwart and fore and aft through the middle, not at all. */
export function nextCut({ session, results }: Stores): void {
  const { section, uncut } = session.getState()
  const middle = (axis: 0 | 1): number => {
    const outline = results.getState().steps.clearance.result?.outline ?? []
    let [low, high] = [Infinity, -Infinity]
    for (let i = axis; i < outline.length; i += 2) {
      low = Math.min(low, outline[i]!)
      high = Math.max(high, outline[i]!)
    }
    return low > high ? 0 : Math.round((low + high) / 2)
  }
  const now = uncut ? 'none' : section && !section.spot ? section.across : 'own'
  const next = { own: 'x', x: 'y', y: 'none', none: 'own' }[now]
  session.setState({
    finding: null,
    apart: false,
    uncut: next === 'none',
    section: next === 'x' || next === 'y' ? { across: next, at_mm: middle(next === 'x' ? 0 : 1), spot: null } : null,
  })
}

/** The first three steps are about the metal alone: shells would stand in its way. */
export const isMetalAlone = (slip: StepName | null): boolean => slip === 'scan' || slip === 'frame' || slip === 'datum'
