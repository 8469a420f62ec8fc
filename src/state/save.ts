/**
 * Keeps the job in the browser as it changes: at most 200 ms after a change, job and new meshes in one transaction, so that a
 * crash loses that moment and never half a job. Each write names the revision it stands on; when somebody else has
 * written since, nothing is overwritten.
 */
import { adoptJob, assetsOf, type Job, jobText, parseJobText } from '../core/job'
import type { JobState, JobStore } from './job-store'

export interface SavedJob {
  /** Which of the jobs kept in this browser it is. */
  readonly id: string
  readonly title: string
  /** `job.json`. */
  readonly text: string
  /** Raised by one with every write. */
  readonly revision: number
  /** Milliseconds since 1970. */
  readonly savedAt: number
}

export type WriteOutcome = 'written' | 'conflict' | 'full'

export interface SaveStorage {
  read(): Promise<{ readonly saved: SavedJob; readonly assets: ReadonlyMap<string, Uint8Array> } | null>
  /**
   * Writes job and meshes as one, and forgets meshes that no kept job names, unless the stored revision is not the one
   * before `saved.revision`. A job of another id that stood there is laid aside whole.
   */
  write(saved: SavedJob, assets: ReadonlyMap<string, Uint8Array>): Promise<WriteOutcome>
}

export interface SaveEvents {
  onSaved(savedAt: number): void
  /** Another tab has written: saving has stopped. */
  onConflict(): void
  /** No room: saving goes on being tried with every change. */
  onFull(): void
  onFailed(why: string): void
}

/** The longest a change waits, ms. */
const WAIT_MS = 150

export interface Saving {
  /** Writes what is waiting now. */
  flush(): Promise<void>
  stop(): void
}

/**
 * @param options.revision the stored revision that the open job was read from; 0: nothing stored
 * @param options.changed the open job is no longer the one that was read, so it is written at once
 */
export function keepSaved(
  jobs: JobStore,
  storage: SaveStorage,
  events: SaveEvents,
  options: { readonly revision: number; readonly now: () => number; readonly changed?: boolean },
): Saving {
  let { revision } = options
  let saved: Job | null = options.changed ? null : jobs.getState().history.job
  let timer: ReturnType<typeof setTimeout> | null = null
  let writing: Promise<void> = Promise.resolve()
  let open = true

  const write = async ({ history, assets, id }: JobState) => {
    const { job } = history
    // A job without a scan is the empty page, not work.
    if (!open || job === saved || job.scan.files.length === 0) return
    const savedAt = options.now()
    const named = new Map<string, Uint8Array>()
    for (const { asset } of assetsOf(job)) {
      const bytes = assets.get(asset)
      if (bytes) named.set(asset, bytes)
    }
    try {
      const outcome = await storage.write(
        { id, title: job.title, text: jobText(job), revision: revision + 1, savedAt },
        named,
      )
      if (outcome === 'written') {
        revision++
        saved = job
        events.onSaved(savedAt)
      } else if (outcome === 'conflict') {
        open = false
        events.onConflict()
      } else events.onFull()
    } catch (error) {
      events.onFailed(error instanceof Error ? error.message : String(error))
    }
  }
  const flush = () => {
    if (timer !== null) clearTimeout(timer)
    timer = null
    writing = writing.then(() => write(jobs.getState()))
    return writing
  }
  const stopListening = jobs.subscribe((state, before) => {
    // What is waiting of the job that is left goes first, so that it is laid aside as it was last seen.
    if (state.id !== before.id && state.opened !== before.opened) writing = writing.then(() => write(before))
    if (state.history.job === before.history.job || timer !== null || !open) return
    timer = setTimeout(() => void flush(), WAIT_MS)
  })
  if (options.changed) void flush()
  return {
    flush,
    stop() {
      open = false
      stopListening()
      if (timer !== null) clearTimeout(timer)
    },
  }
}

/** @throws Refused when the text is no job any more */
export const jobOfSaved = (saved: SavedJob): Job =>
  adoptJob(parseJobText(saved.text), (path) => {
    throw new Error(`save: a stored job names a path (${path})`)
  })
