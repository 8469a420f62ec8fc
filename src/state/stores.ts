import type { JobStore } from './job-store'
import type { ResultsStore } from './results'
import type { SessionStore } from './session-store'

/** Handed down from `app` as one prop. */
export interface Stores {
  readonly jobs: JobStore
  readonly results: ResultsStore
  readonly session: SessionStore
}
