import type { Steps } from '../core/geometry/kernel'
import { Refused } from '../core/geometry/trouble'
import { CANCELLED, type Outcome, type RunProgress } from './runner'

export interface Host {
  /** Lets other work of this thread through (a cancel message among it). Each host has its own quickest way. */
  readonly giveWay: () => Promise<void>
  /** Milliseconds, any origin. */
  readonly now: () => number
}

/** How long a kernel may run before the thread gives way, ms: well under the 200 ms within which a cancel is promised. */
const SLICE_MS = 30

/** Steps a kernel to its end, giving way often enough that it can be cancelled. */
export async function drive<T>(
  steps: Steps<T>,
  host: Host,
  cancelled: () => boolean,
  onProgress: (progress: RunProgress) => void,
): Promise<Outcome<T>> {
  let label = ''
  let sliceEnd = host.now() + SLICE_MS
  try {
    for (;;) {
      const step = steps.next()
      if (step.done) return { ok: true, value: step.value }
      if (host.now() < sliceEnd) continue
      const { value } = step
      if (typeof value !== 'number') label = value.label
      onProgress({ fraction: typeof value === 'number' ? value : value.fraction, label })
      await host.giveWay()
      if (cancelled()) {
        steps.return(undefined as never)
        return { ok: false, refusal: CANCELLED }
      }
      sliceEnd = host.now() + SLICE_MS
    }
  } catch (error) {
    if (error instanceof Refused) return { ok: false, refusal: error.refusal }
    throw error
  }
}
