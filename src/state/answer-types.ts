import type { FlowStep } from '../core/flow'
import type { Finding } from '../core/geometry/trouble'
import type { History, Job } from '../core/job'
import type { ShownUnit } from './format'
import type { ResultsState, StepStates } from './results'
import type { Question } from './session-store'

/** A run of words; the number the answer turns on is strong. */
export interface AnswerPart {
  readonly text: string
  readonly strong?: boolean
}

export interface AnswerFigure {
  /** Stable name, for tests and screen readers. */
  readonly id: string
  readonly value: string
  readonly unit: string
  readonly label: string
  /** The limit it is held against, or what it was taken over. */
  readonly sub: string
  readonly bad: boolean
}

/** `ok`: yes; `almost`, `not`: no; `open`: nothing to say yet. */
export type Standing = 'ok' | 'almost' | 'not' | 'open'

export interface Answer {
  readonly question: Question
  readonly standing: Standing
  /** For the line of a question that is not open. */
  readonly short: string
  readonly sentence: readonly AnswerPart[]
  readonly figures: readonly AnswerFigure[]
  /** Worst first; waived ones last. */
  readonly findings: readonly Finding[]
  /** What the figures are of, when the job has moved on. */
  readonly asOf: string | null
  /** The step that is being worked out for this answer. */
  readonly busy: { readonly step: FlowStep; readonly label: string; readonly fraction: number } | null
  /** It was stopped, or failed: a person may ask for it again. */
  readonly halted: boolean
}

/** What a question's own file makes; the frame around it (stale, busy, refused) is the same for all. */
export type Told = Pick<Answer, 'standing' | 'short' | 'sentence' | 'figures'>

export interface AnswerInput {
  readonly results: ResultsState
  readonly history: History
  readonly unit: ShownUnit
}

export interface TellInput {
  readonly steps: StepStates
  readonly job: Job
  readonly unit: ShownUnit
  /** Holds that nobody has waived, of this question. */
  readonly holds: readonly Finding[]
  readonly warnings: readonly Finding[]
}

export const words = (text: string): AnswerPart => ({ text })
export const strong = (text: string): AnswerPart => ({ text, strong: true })

/** @example counted(1, 'hold') // 'one hold'; counted(12, 'hold') // '12 holds' */
export function counted(n: number, noun: string, plural = `${noun}s`): string {
  const small = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine']
  return `${small[n] ?? n} ${n === 1 ? noun : plural}`
}

export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** A step's sentence inside ours: without its full stop. */
export const bare = (sentence: string): string => sentence.trim().replace(/[.;:]+$/, '')
