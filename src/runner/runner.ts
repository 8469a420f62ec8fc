import type { Refusal } from '../core/geometry/trouble'
import type { KernelName, RequestOf, ResultOf } from './step-map'

export interface RunProgress {
  readonly fraction: number
  readonly label: string
}

export interface RunOptions {
  readonly signal?: AbortSignal
  readonly onProgress?: (progress: RunProgress) => void
}

/** Cancel is an answer like any other refusal; a defect of ours rejects the promise. */
export type Outcome<T> = { readonly ok: true; readonly value: T } | { readonly ok: false; readonly refusal: Refusal }

/** The same contract in Node, in tests and in the page: `run` always settles. */
export interface Runner {
  run<N extends KernelName>(name: N, request: RequestOf<N>, options?: RunOptions): Promise<Outcome<ResultOf<N>>>
  /** Ends all that is going on; what was running answers `cancelled`. */
  dispose(): void
}

export const CANCELLED: Refusal = { code: 'cancelled', message: 'Stopped before it was finished; nothing was changed.' }
