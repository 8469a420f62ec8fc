/**
 * Keeps the job in the browser as it changes: at most 300 ms after a change, job and new meshes in one transaction, so that a
 * crash loses that moment and never half a job. Each write names the revision it stands on; when somebody else has
 * written since, nothing is overwritten.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb'
import { adoptJob, assetsOf, type Job, jobText, parseJobText } from '../core/job'
import type { JobStore } from './job-store'

export interface SavedJob {
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
   * Writes job and meshes as one, and forgets meshes that the job does not name, unless the stored revision is not the
   * one before `saved.revision`.
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
const WAIT_MS = 250

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

  const write = async () => {
    const { history, assets } = jobs.getState()
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
      const outcome = await storage.write({ text: jobText(job), revision: revision + 1, savedAt }, named)
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
    writing = writing.then(write)
    return writing
  }
  const stopListening = jobs.subscribe((state, before) => {
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

interface Schema extends DBSchema {
  jobs: { key: string; value: SavedJob }
  assets: { key: string; value: Uint8Array }
}

const CURRENT = 'current'

/** IndexedDB of this origin. */
export async function browserStorage(): Promise<SaveStorage> {
  const db: IDBPDatabase<Schema> = await openDB<Schema>('mouldwright', 1, {
    upgrade(fresh) {
      fresh.createObjectStore('jobs')
      fresh.createObjectStore('assets')
    },
  })
  return {
    async read() {
      const tx = db.transaction(['jobs', 'assets'])
      const saved = await tx.objectStore('jobs').get(CURRENT)
      if (!saved) return null
      const assets = new Map<string, Uint8Array>()
      const store = tx.objectStore('assets')
      for (const key of await store.getAllKeys()) {
        const bytes = await store.get(key)
        if (bytes) assets.set(key, bytes)
      }
      return { saved, assets }
    },
    async write(saved, assets) {
      try {
        const tx = db.transaction(['jobs', 'assets'], 'readwrite')
        const before = await tx.objectStore('jobs').get(CURRENT)
        if ((before?.revision ?? 0) !== saved.revision - 1) {
          await tx.done
          return 'conflict'
        }
        const store = tx.objectStore('assets')
        const stored = new Set(await store.getAllKeys())
        for (const key of stored) if (!assets.has(key)) await store.delete(key)
        for (const [key, bytes] of assets) if (!stored.has(key)) await store.put(bytes, key)
        await tx.objectStore('jobs').put(saved, CURRENT)
        await tx.done
        return 'written'
      } catch (error) {
        if (error instanceof DOMException && error.name === 'QuotaExceededError') return 'full'
        throw error
      }
    },
  }
}
