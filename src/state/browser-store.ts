/**
 * The jobs kept in IndexedDB of this origin: the one that is open, and the last ones that were open before it, each whole
 * with its meshes. A mesh that several jobs name is kept once.
 */
import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB } from 'idb'
import type { SavedJob, SaveStorage } from './save'
import type { Question } from './session-store'

export type ToldAnswers = Readonly<Record<Exclude<Question, 'release'>, string>>

export interface KeptJob {
  readonly id: string
  readonly title: string
  /** Milliseconds since 1970. */
  readonly savedAt: number
  /** Of its last write; the writes of all jobs are counted together, so this is their order, whatever the clock does. */
  readonly revision: number
  /** Hashes of its meshes. */
  readonly assets: readonly string[]
  /** Job and meshes; meshes that it shares with another job are counted with both. */
  readonly bytes: number
  /** The answers as they were told last, of exactly this state; null: it was left before it was worked out. */
  readonly answers: ToldAnswers | null
}

export interface JobShelf {
  /** Newest first. `current`: id of the one that is written as it changes. */
  list(): Promise<{ readonly jobs: readonly KeptJob[]; readonly current: string | null }>
  readKept(id: string): Promise<{ readonly saved: SavedJob; readonly assets: ReadonlyMap<string, Uint8Array> } | null>
  /** Forgets a job and the meshes that only it names; the current one stays. */
  takeAway(id: string): Promise<void>
  /** Notes what was answered; does nothing for a job that is not kept. */
  tell(id: string, answers: ToldAnswers): Promise<void>
}

/** Jobs kept beside the current one; the oldest goes when another comes. */
export const MOST_KEPT = 20

interface Schema extends DBSchema {
  /** `current`, and by id those that were laid aside. */
  jobs: { key: string; value: SavedJob }
  /** What the list shows, of the current one too: small, so that it is read at every write. */
  shelf: { key: string; value: KeptJob }
  /** Large ones as a blob: a browser takes no other value of more than about 130 MB. */
  assets: { key: string; value: Uint8Array | Blob }
}

const CURRENT = 'current'

const BLOB_FROM_BYTES = 64e6

/** @throws when the browser keeps nothing here, or a page of an older build still holds the store */
export async function browserStorage(name = 'mouldwright'): Promise<SaveStorage & JobShelf> {
  const db = await openStore(name)

  const cleared = async (tx: WriteTransaction) => {
    const named = new Set((await tx.objectStore('shelf').getAll()).flatMap((kept) => kept.assets))
    const assets = tx.objectStore('assets')
    for (const key of await assets.getAllKeys()) if (!named.has(key)) await assets.delete(key)
  }
  const forget = async (tx: WriteTransaction, id: string) => {
    await tx.objectStore('jobs').delete(id)
    await tx.objectStore('shelf').delete(id)
  }
  const begin = (): WriteTransaction => {
    const tx = db.transaction(['jobs', 'shelf', 'assets'], 'readwrite')
    // A request that fails is thrown where it is awaited; the transaction's own end would be told a second time.
    tx.done.catch(() => undefined)
    return tx
  }
  /** One transaction, so that no write of another tab comes between a job and its meshes. */
  const whole = async (find: (tx: ReadTransaction) => Promise<SavedJob | undefined>) => {
    const tx = db.transaction(['jobs', 'shelf', 'assets'])
    const saved = await find(tx)
    if (!saved) return null
    const stored: [string, Uint8Array | Blob][] = []
    for (const key of (await tx.objectStore('shelf').get(saved.id))?.assets ?? []) {
      const bytes = await tx.objectStore('assets').get(key)
      if (bytes) stored.push([key, bytes])
    }
    // A blob is read when the transaction has all it needs: it would not wait for it.
    const assets = new Map<string, Uint8Array>()
    for (const [key, value] of stored)
      assets.set(key, value instanceof Blob ? new Uint8Array(await value.arrayBuffer()) : value)
    return { saved, assets }
  }

  return {
    read: () => whole((tx) => tx.objectStore('jobs').get(CURRENT)),
    async write(saved, given) {
      const tx = begin()
      try {
        const jobs = tx.objectStore('jobs')
        const shelf = tx.objectStore('shelf')
        const store = tx.objectStore('assets')
        // All that is to be known is asked at once, and nothing that is written is waited for before the end: a dozen answers
        // one after the other took over a second on a busy machine, which is all that a kill may cost.
        const [before, first, stored] = await Promise.all([jobs.get(CURRENT), shelf.getAll(), store.getAllKeys()])
        if ((before?.revision ?? 0) !== saved.revision - 1) {
          await tx.done
          return 'conflict'
        }
        let kept = first
        if (before && before.id !== saved.id) {
          await layAside(tx, before)
          kept = await shelf.getAll()
        }
        const known = kept.find((job) => job.id === saved.id)
        const same = known && before?.id === saved.id && before.text === saved.text
        const mine: KeptJob = {
          id: saved.id,
          title: saved.title,
          savedAt: saved.savedAt,
          revision: saved.revision,
          assets: [...given.keys()],
          bytes: [...given.values()].reduce((sum, bytes) => sum + bytes.length, saved.text.length),
          answers: same ? known.answers : null,
        }
        const others = kept.filter((job) => job.id !== saved.id).sort(newestFirst)
        const named = new Set([mine, ...others.slice(0, MOST_KEPT)].flatMap((job) => job.assets))
        const here = new Set(stored)
        const asked: Promise<unknown>[] = []
        const ask = (request: Promise<unknown>) => {
          // When one fails the others are given up with it: the first one's own error is the one that is told.
          request.catch(() => undefined)
          asked.push(request)
        }
        for (const [key, bytes] of given)
          if (!here.has(key))
            ask(store.put(bytes.length < BLOB_FROM_BYTES ? bytes : new Blob([bytes as Uint8Array<ArrayBuffer>]), key))
        for (const key of stored) if (!named.has(key)) ask(store.delete(key))
        for (const old of others.slice(MOST_KEPT)) ask(forget(tx, old.id))
        ask(jobs.delete(saved.id))
        ask(shelf.put(mine, saved.id))
        ask(jobs.put(saved, CURRENT))
        await Promise.all(asked)
        await tx.done
        return 'written'
      } catch (error) {
        giveUp(tx)
        if (error instanceof DOMException && error.name === 'QuotaExceededError') return 'full'
        throw error
      }
    },
    async list() {
      const tx = db.transaction(['jobs', 'shelf'])
      const jobs = await tx.objectStore('shelf').getAll()
      const current = await tx.objectStore('jobs').get(CURRENT)
      return { jobs: jobs.sort(newestFirst), current: current?.id ?? null }
    },
    readKept: (id) =>
      whole(async (tx) => {
        const current = await tx.objectStore('jobs').get(CURRENT)
        return current?.id === id ? current : tx.objectStore('jobs').get(id)
      }),
    async takeAway(id) {
      const tx = begin()
      if ((await tx.objectStore('jobs').get(CURRENT))?.id !== id) {
        await forget(tx, id)
        await cleared(tx)
      }
      await tx.done
    },
    async tell(id, answers) {
      const tx = db.transaction('shelf', 'readwrite')
      const known = await tx.store.get(id)
      if (known) await tx.store.put({ ...known, answers }, id)
      await tx.done
    },
  }

  /** The same file opened twice, or the demo, is one job until somebody works on it. */
  async function layAside(tx: WriteTransaction, job: SavedJob): Promise<void> {
    for (const kept of await tx.objectStore('shelf').getAll()) {
      if (kept.id === job.id || kept.title !== job.title) continue
      if ((await tx.objectStore('jobs').get(kept.id))?.text === job.text) await forget(tx, kept.id)
    }
    await tx.objectStore('jobs').put(job, job.id)
  }
}

type Tables = ('jobs' | 'shelf' | 'assets')[]
type ReadTransaction = IDBPTransaction<Schema, Tables, 'readonly'>
type WriteTransaction = IDBPTransaction<Schema, Tables, 'readwrite'>

/** A half-made change is not committed; the browser has mostly done so itself. */
function giveUp(tx: WriteTransaction): void {
  try {
    tx.abort()
  } catch {
    // It has ended already.
  }
}

const newestFirst = (a: KeptJob, b: KeptJob): number => b.revision - a.revision

function openStore(name: string): Promise<IDBPDatabase<Schema>> {
  return new Promise((resolve, reject) => {
    openDB<Schema>(name, 2, {
      async upgrade(db, from, _, tx) {
        if (from < 1) {
          db.createObjectStore('jobs')
          db.createObjectStore('assets')
        }
        db.createObjectStore('shelf')
        // The first form of the store held one job, which had no name there, and nothing but its meshes.
        const old = await tx.objectStore('jobs').get(CURRENT)
        if (!old) return
        const id = 'first'
        const title = titleIn(old.text)
        const assets = await tx.objectStore('assets').getAllKeys()
        await tx.objectStore('jobs').put({ ...old, id, title }, CURRENT)
        await tx
          .objectStore('shelf')
          .put(
            { id, title, savedAt: old.savedAt, revision: old.revision, assets, bytes: old.text.length, answers: null },
            id,
          )
      },
      blocked: () => reject(new Error('the store is held by a page of an older build')),
      // A newer build in another tab: it could not begin while this one holds the store.
      blocking: (_, __, event) => (event.target as IDBDatabase).close(),
    }).then(resolve, reject)
  })
}

function titleIn(text: string): string {
  try {
    const { title } = JSON.parse(text) as { title?: unknown }
    return typeof title === 'string' ? title : ''
  } catch {
    return ''
  }
}
