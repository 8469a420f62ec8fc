/** What has been worked out of the job, step by step, with what is stale, running or refused. Never saved. */
import { createStore, type StoreApi } from 'zustand/vanilla'
import { FLOW_ORDER, type FlowMap, type FlowResults, type FlowStep, seatedResults } from '../core/flow'
import type { DisplayCopy } from '../core/geometry/display-copy'
import type { Finding, Refusal } from '../core/geometry/trouble'

export interface StepState<N extends FlowStep> {
  /** The last result made, shown (marked stale) until the next is there. */
  readonly result: FlowMap[N]['result'] | null
  /** Key of `result`. */
  readonly key: string | null
  /** `unmade`: nothing yet; `done`: `result` is of the job as it is; `stale`: it is of an earlier job. */
  readonly is: 'unmade' | 'running' | 'done' | 'stale' | 'refused'
  readonly progress: { readonly fraction: number; readonly label: string } | null
  readonly refusal: Refusal | null
  readonly seconds: number | null
}

export type StepStates = { readonly [N in FlowStep]: StepState<N> }

export interface ResultsState {
  readonly steps: StepStates
  /** Eight digits of the job's hash are shown in the title block. */
  readonly jobHash: string
  /** What is drawn of a scan that has more facets than a picture can show; null: the scan itself is drawn, or is not there. */
  readonly copy: DisplayCopy | null
  /** A defect of ours, told apart from a bad input. */
  readonly defect: string | null
}

export type ResultsStore = StoreApi<ResultsState>

const fresh = { result: null, key: null, is: 'unmade', progress: null, refusal: null, seconds: null } as const

export const createResults = (): ResultsStore =>
  createStore<ResultsState>(() => ({
    steps: Object.fromEntries(FLOW_ORDER.map((name) => [name, fresh])) as unknown as StepStates,
    jobHash: '',
    copy: null,
    defect: null,
  }))

export function changeStep<N extends FlowStep>(store: ResultsStore, name: N, change: Partial<StepState<N>>): void {
  store.setState((s) => ({ steps: { ...s.steps, [name]: { ...s.steps[name], ...change } } }))
}

/** Results at hand, stale ones among them; the shells with their seats. */
export const resultsAtHand = (steps: StepStates): FlowResults =>
  seatedResults(
    Object.fromEntries(FLOW_ORDER.flatMap((name) => (steps[name].result ? [[name, steps[name].result]] : []))),
  )

/** The clearance step's result with the seated shells in it. */
export const seatedClearance = (steps: StepStates): FlowMap['clearance']['result'] | null => {
  const { clearance, seats } = steps
  if (!clearance.result || !seats.result) return clearance.result
  return seatedResults({ clearance: clearance.result, seats: seats.result }).clearance ?? null
}

/** All findings at hand, holds first, then warnings, then notes; within one kind in the order of the work. */
export function findingsAtHand(steps: StepStates): readonly Finding[] {
  const weight = { hold: 0, warning: 1, note: 2 }
  return FLOW_ORDER.flatMap((name) => steps[name].result?.findings ?? []).sort(
    (a, b) => weight[a.severity] - weight[b.severity],
  )
}

const NO_FINDINGS: readonly Finding[] = []
const together = new WeakMap<readonly Finding[], WeakMap<readonly Finding[], readonly Finding[]>>()

/** Findings of one step at hand; those of the seats stand with the fittings. The same results give the same list. */
export function findingsOfStep(steps: StepStates, name: FlowStep): readonly Finding[] {
  const own = steps[name].result?.findings ?? NO_FINDINGS
  const seats = name === 'fitting' ? (steps.seats.result?.findings ?? NO_FINDINGS) : NO_FINDINGS
  if (seats.length === 0) return own
  const known = together.get(seats) ?? new WeakMap<readonly Finding[], readonly Finding[]>()
  together.set(seats, known)
  const both = known.get(own) ?? [...seats, ...own]
  known.set(own, both)
  return both
}
