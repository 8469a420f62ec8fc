/** The line of steps: each with its one headline number and how it stands. */
import { FLOW, FLOW_ORDER, type FlowStep } from '../core/flow'
import type { StepName } from '../core/geometry/trouble'
import { draftIsShort, offFigures } from './answer-off'
import type { AnswerInput } from './answer-types'
import { counted } from './answer-types'
import { isWaived } from './answers'
import { angleText, areaText, countText, lengthText, massText, type ShownUnit } from './format'
import { findingsOfStep, type StepStates, seatedClearance } from './results'
import { signatureStates } from './signature-state'

/** `holds`: done and nothing stands; the rest as they say. */
export type WeightState = 'holds' | 'unmade' | 'stale' | 'running' | 'hold'

export interface StepWeight {
  readonly step: StepName
  readonly state: WeightState
  readonly holds: number
  /** 0…1 while running. */
  readonly fraction: number
  /** '1.02 M facets', 'was 9 boards', 'hold: 9.4 mm', 'cannot'. */
  readonly headline: string
}

/** The order of the design; a step that is not in the flow yet is left out. */
const DESIGN_ORDER: readonly StepName[] = [
  'scan',
  'frame',
  'datum',
  'clearance',
  'fitting',
  'analysis',
  'tooling',
  'build',
  'release',
]

export const STEPS_SHOWN: readonly StepName[] = DESIGN_ORDER.filter(
  (name) => name === 'release' || (FLOW_ORDER as readonly string[]).includes(name),
)

type Headline = (steps: StepStates, unit: ShownUnit) => string | null

const HEADLINES: { readonly [N in FlowStep]?: Headline } = {
  scan: (s) => s.scan.result && `${countText(s.scan.result.health.facets - s.scan.result.health.facetsDropped)} facets`,
  frame: (s) => s.frame.result && counted(s.frame.result.tubes.length, 'tube').replace(/^no /, '0 '),
  datum: (s, unit) => s.datum.result && lengthText(s.datum.result.symmetry.rms_mm, unit),
  clearance: (s, unit) => {
    const made = seatedClearance(s)
    return made && lengthText(made.certificate.min_mm, unit, 1, 'down')
  },
  fitting: (s) =>
    s.fitting.result && `${s.fitting.result.placed.length} ${s.fitting.result.placed.length === 1 ? 'part' : 'parts'}`,
  analysis: (s, unit) => {
    const f = s.analysis.result && offFigures(s.analysis.result)
    if (!f) return null
    return f.locked_mm2 === 0 && draftIsShort(f) ? angleText(f.minDraft_deg, 1, 'down') : areaText(f.locked_mm2, unit)
  },
  tooling: (s) =>
    s.tooling.result && `${s.tooling.result.boards} ${s.tooling.result.boards === 1 ? 'board' : 'boards'}`,
  build: (s, unit) => s.build.result && massText(s.build.result.mass_kg, unit),
}

export function stepWeights({ results, history, unit }: AnswerInput): readonly StepWeight[] {
  const { steps } = results
  const { job } = history
  return STEPS_SHOWN.map((step): StepWeight => {
    if (step === 'release') return releaseWeight({ results, history, unit })
    const name = step as FlowStep
    const state = steps[name]
    const findings = findingsOfStep(steps, name)
    const holds = findings.filter((f) => f.severity === 'hold' && !isWaived(job, f)).length
    const number = HEADLINES[name]?.(steps, unit) ?? null
    if (state.is === 'refused') {
      // Only the step that refuses holds; what comes after it waits.
      if (!FLOW[name].after.some((earlier) => earlier !== 'seats' && steps[earlier].is === 'refused'))
        return { step, state: 'hold', holds: 1, fraction: 0, headline: 'cannot' }
      return {
        step,
        state: number === null ? 'unmade' : 'stale',
        holds: 0,
        fraction: 0,
        headline: number === null ? 'waits' : `was ${number}`,
      }
    }
    if (state.is === 'running')
      return {
        step,
        state: 'running',
        holds: number === null ? 0 : holds,
        fraction: state.progress?.fraction ?? 0,
        headline: number === null ? 'working' : `was ${number}`,
      }
    if (state.is === 'stale')
      return { step, state: 'stale', holds, fraction: 0, headline: number === null ? '' : `was ${number}` }
    if (state.is === 'unmade') return { step, state: 'unmade', holds: 0, fraction: 0, headline: 'to do' }
    if (holds > 0) return { step, state: 'hold', holds, fraction: 0, headline: `hold: ${number ?? holds}` }
    return { step, state: 'holds', holds: 0, fraction: 0, headline: number ?? 'done' }
  })
}

function releaseWeight({ history, unit }: AnswerInput): StepWeight {
  const states = signatureStates(history, unit)
  const signed = states.filter((s) => s.signature && !s.lifted).length
  const state: WeightState = signed === states.length ? 'holds' : states.some((s) => s.lifted) ? 'stale' : 'unmade'
  return { step: 'release', state, holds: 0, fraction: 0, headline: `${signed} of ${states.length}` }
}
