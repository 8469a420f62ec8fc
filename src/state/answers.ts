/**
 * The answer to each of the three questions, and to the release, in words and figures, from what has been worked out. Pure:
 * the same results give the same words. A figure that decides is rounded against itself.
 */
import type { FlowStep } from '../core/flow'
import { assertNever, type Finding } from '../core/geometry/trouble'
import type { Job } from '../core/job'
import { tellClear } from './answer-clear'
import { tellLive } from './answer-live'
import { tellOff } from './answer-off'
import { type Answer, type AnswerInput, bare, capital, counted, strong, type Told, words } from './answer-types'
import { asOfWords, refusalWords } from './describe-change'
import { findingsAtHand, type StepState, type StepStates } from './results'
import type { Question } from './session-store'
import { signatureStates } from './signature-state'

export * from './answer-types'

export const QUESTIONS: readonly Question[] = ['clear', 'live', 'off', 'release']

/** The step that gives a question its answer, and the earlier ones whose findings belong to it. */
const ANSWERED_BY: { readonly [Q in Exclude<Question, 'release'>]: FlowStep } = {
  clear: 'clearance',
  live: 'fitting',
  off: 'analysis',
}

/** The question a finding of a step belongs to. */
export function questionOfStep(step: Finding['step']): Exclude<Question, 'release'> {
  switch (step) {
    case 'scan':
    case 'frame':
    case 'datum':
    case 'clearance':
      return 'clear'
    case 'fitting':
    case 'release':
      return 'live'
    case 'analysis':
    case 'tooling':
    case 'build':
      return 'off'
    default:
      return assertNever(step)
  }
}

export const isWaived = (job: Job, finding: Finding): boolean =>
  job.release.waivers.some((w) => w.finding === finding.id)

/** Holds that nobody has waived, in the order of the work. */
export const standingHolds = (steps: StepStates, job: Job): readonly Finding[] =>
  findingsAtHand(steps).filter((f) => f.severity === 'hold' && !isWaived(job, f))

export function answers(input: AnswerInput): { readonly [Q in Question]: Answer } {
  return {
    clear: answerOf('clear', input),
    live: answerOf('live', input),
    off: answerOf('off', input),
    release: releaseAnswer(input),
  }
}

function answerOf(question: Exclude<Question, 'release'>, input: AnswerInput): Answer {
  const { results, history, unit } = input
  const { job } = history
  const { steps } = results
  const step = ANSWERED_BY[question]
  const state: StepState<FlowStep> = steps[step]
  const mine = findingsAtHand(steps).filter((f) => questionOfStep(f.step) === question)
  const findings = [...mine.filter((f) => !isWaived(job, f)), ...mine.filter((f) => isWaived(job, f))]
  const standing = findings.filter((f) => !isWaived(job, f))
  const told = { clear: tellClear, live: tellLive, off: tellOff }[question]({
    steps,
    job,
    unit,
    holds: standing.filter((f) => f.severity === 'hold'),
    warnings: standing.filter((f) => f.severity === 'warning'),
  })
  const busy = busyFor(steps, step)
  const asOf = told && state.is !== 'done' ? asOfWords(history, step, state.key, unit) : null
  if (state.is === 'refused' && state.refusal)
    return { question, ...refusedWords(refusalWords(state.refusal), told), findings, asOf, busy: null, halted: false }
  if (results.defect !== null && state.is !== 'done')
    return { question, ...defectWords(results.defect, told), findings, asOf, busy: null, halted: true }
  const halted = busy === null && state.is !== 'done'
  if (told) return { question, ...told, short: asOf ?? told.short, findings, asOf, busy, halted }
  const word = busy ? 'working it out' : 'not worked out yet'
  return {
    question,
    standing: 'open',
    short: word,
    sentence: [words(busy ? 'Working it out.' : 'Not worked out yet.')],
    figures: [],
    findings,
    asOf: null,
    busy,
    halted,
  }
}

function refusedWords(message: string, told: Told | null): Told {
  return {
    standing: 'not',
    short: 'Not yet',
    sentence: [words(`Not yet. ${capital(bare(message))}.`)],
    figures: told?.figures ?? [],
  }
}

function defectWords(message: string, told: Told | null): Told {
  return {
    standing: 'not',
    short: 'Not yet',
    sentence: [words(`Not yet. The program failed here and the job is unharmed: ${bare(message)}.`)],
    figures: told?.figures ?? [],
  }
}

/** The running step that an answer waits for: its own, or the one furthest along among those before it. */
function busyFor(steps: StepStates, last: FlowStep): Answer['busy'] {
  for (const name of Object.keys(steps).reverse() as FlowStep[]) {
    if (!isUpTo(steps, name, last)) continue
    const state: StepState<FlowStep> = steps[name]
    if (state.is === 'running')
      return { step: name, label: state.progress?.label ?? '', fraction: state.progress?.fraction ?? 0 }
  }
  return null
}

function isUpTo(steps: StepStates, name: FlowStep, last: FlowStep): boolean {
  const order = Object.keys(steps)
  return order.indexOf(name) <= order.indexOf(last)
}

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1)

function releaseAnswer({ results, history, unit }: AnswerInput): Answer {
  const { steps } = results
  const { job } = history
  const signatures = signatureStates(history, unit)
  const signed = signatures.filter((s) => s.signature && !s.lifted).length
  const holds = standingHolds(steps, job)
  const settled = Object.values(steps).every((s) => s.is === 'done')
  const waived = findingsAtHand(steps).filter((f) => f.severity === 'hold' && isWaived(job, f))
  const short = `${signed} of ${signatures.length} signed`
  const names = ['None', 'One', 'Two', 'All']
  const whoWords = strong(signed === 3 ? 'All three' : `${names[signed]} of three`)
  const have = signed === 1 || signed === 0 ? ' has signed' : ' have signed'
  const sentence =
    holds.length > 0
      ? [
          words('Not yet. '),
          whoWords,
          words(`${have} and ${counted(holds.length, 'hold')} ${holds.length === 1 ? 'stands' : 'stand'}. `),
          words('The pack is written when the last is cleared or waived.'),
        ]
      : !settled
        ? [words('Not yet. '), whoWords, words(`${have}, and the plan is not worked out to its end.`)]
        : signed < signatures.length
          ? [words('Almost. No hold stands; '), strong(lower(whoWords.text)), words(`${have}.`)]
          : [words('Yes. '), whoWords, words(' have signed and no hold stands.')]
  return {
    question: 'release',
    standing: holds.length > 0 || !settled ? 'not' : signed < signatures.length ? 'almost' : 'ok',
    short,
    sentence,
    figures: [],
    findings: [...holds, ...waived],
    asOf: null,
    busy: null,
    halted: false,
  }
}
