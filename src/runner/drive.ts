import type { Offer, Steps } from '../core/geometry/kernel'
import { Refused } from '../core/geometry/trouble'
import { thinReady } from '../core/scan'
import { CANCELLED, type Outcome, type RunProgress } from './runner'

export interface Host {
  /** Lets other work of this thread through (a cancel message among it). Each host has its own quickest way. */
  readonly giveWay: () => Promise<void>
  /** Milliseconds, any origin. */
  readonly now: () => number
}

export interface DriveOptions {
  readonly cancelled: () => boolean
  readonly onProgress: (progress: RunProgress) => void
  /** Has the pieces of an offer done by several threads, this one among them. Left out: the kernel does them itself. */
  readonly share?: (pieces: Offer['pieces'], options: DriveOptions) => Promise<Outcome<readonly unknown[]>>
}

/** How long a kernel may run before the thread gives way, ms: well under the 200 ms within which a cancel is promised. */
const SLICE_MS = 30

/** Steps a kernel to its end, giving way often enough that it can be cancelled. */
export async function drive<T>(steps: Steps<T>, host: Host, options: DriveOptions): Promise<Outcome<T>> {
  const { cancelled, onProgress, share } = options
  await thinReady
  let label = ''
  let sliceEnd = host.now() + SLICE_MS
  try {
    for (let step = steps.next(); ; ) {
      if (step.done) return { ok: true, value: step.value }
      const { value } = step
      if (share && typeof value === 'object' && 'pieces' in value) {
        const { pieces, fraction, to } = value
        const outcome = await share(pieces, {
          ...options,
          onProgress: (p) => onProgress({ fraction: fraction + (to - fraction) * p.fraction, label: p.label }),
        })
        if (!outcome.ok && outcome.refusal.code === CANCELLED.code) {
          steps.return(undefined as never)
          return outcome
        }
        sliceEnd = host.now() + SLICE_MS
        if (outcome.ok) value.results = outcome.value
        // What refuses a piece refuses the kernel, at the place where it asked for it.
        step = outcome.ok ? steps.next() : steps.throw(new Refused(outcome.refusal.code, outcome.refusal.message))
        continue
      }
      if (host.now() >= sliceEnd) {
        if (typeof value !== 'number') label = value.label
        onProgress({ fraction: typeof value === 'number' ? value : value.fraction, label })
        await host.giveWay()
        if (cancelled()) {
          steps.return(undefined as never)
          return { ok: false, refusal: CANCELLED }
        }
        sliceEnd = host.now() + SLICE_MS
      }
      step = steps.next()
    }
  } catch (error) {
    if (error instanceof Refused) return { ok: false, refusal: error.refusal }
    throw error
  }
}
