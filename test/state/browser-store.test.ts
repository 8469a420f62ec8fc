/**
 * Jobs kept in the browser, over IndexedDB as the standard has it (W3C Indexed Database API 3.0; fake-indexeddb is held to the web
 * platform tests of it).
 */
import 'fake-indexeddb/auto'
import { openDB } from 'idb'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { type Job, jobText, replaceScan, setTitle } from '../../src/core/job'
import { browserStorage, MOST_KEPT } from '../../src/state/browser-store'
import { createJobStore, type JobStore } from '../../src/state/job-store'
import { jobOfSaved, keepSaved } from '../../src/state/save'
import { jobWith } from './results-at-hand'

const hash = (letter: string) => letter.repeat(64)
const bytes = (...values: number[]) => new Uint8Array(values)
const events = () => ({ onSaved: vi.fn(), onConflict: vi.fn(), onFull: vi.fn(), onFailed: vi.fn() })

let name = ''
let clock = 0
beforeEach(() => {
  name = `store-${expect.getState().currentTestName}`
  clock = 0
})
afterEach(() => {
  vi.restoreAllMocks()
})

const scanned = (title: string, mesh: string): Job =>
  setTitle(title).apply(replaceScan([{ asset: hash(mesh), name: `${mesh}.stl` }]).apply(jobWith()))

/** A tab that keeps its job in the store. */
async function tab(job: Job, assets: ReadonlyMap<string, Uint8Array>, id?: string, revision = 0) {
  const storage = await browserStorage(name)
  const jobs: JobStore = createJobStore(job, assets, id)
  const told = events()
  const saving = keepSaved(jobs, storage, told, { revision, now: () => ++clock })
  return { storage, jobs, told, saving }
}

const titles = async ({ storage }: { storage: Awaited<ReturnType<typeof browserStorage>> }) =>
  (await storage.list()).jobs.map((job) => job.title)

async function meshes(): Promise<string[]> {
  const db = await openDB(name)
  const keys = await db.getAllKeys('assets')
  db.close()
  return keys.map((key) => String(key)[0]!).sort()
}

describe('the last jobs are kept', () => {
  test('a job that gives way to another is laid aside whole, its last change with it, and comes back as it was', async () => {
    const one = await tab(scanned('one', 'a'), new Map([[hash('a'), bytes(1)]]))
    const { jobs, saving, storage } = one
    const id = jobs.getState().id
    jobs.getState().edit(setTitle('one, renamed'))
    // Nothing has been written yet when the other is opened.
    jobs.getState().open(scanned('two', 'b'), new Map([[hash('b'), bytes(2)]]))
    await saving.flush()
    expect(await titles(one)).toEqual(['two', 'one, renamed'])
    expect(await meshes()).toEqual(['a', 'b'])
    expect((await storage.read())?.assets.size).toBe(1)

    const kept = (await storage.readKept(id))!
    expect([...kept.assets]).toEqual([[hash('a'), bytes(1)]])
    jobs.getState().open(jobOfSaved(kept.saved), kept.assets, id)
    await saving.flush()
    expect((await storage.list()).current).toBe(id)
    expect(await titles(one)).toEqual(['one, renamed', 'two'])
    expect(jobOfSaved((await storage.read())!.saved).title).toBe('one, renamed')
  })

  test('a mesh goes with the last job that names it, and the open job is never taken away', async () => {
    const shared = new Map([[hash('a'), bytes(1)]])
    const one = await tab(scanned('one', 'a'), shared)
    const { jobs, saving, storage } = one
    const ids: string[] = []
    for (const job of [scanned('two', 'a'), scanned('three', 'b')]) {
      jobs.getState().open(job, new Map([...shared, [hash('b'), bytes(2)]]))
      await saving.flush()
      ids.push(jobs.getState().id)
    }
    expect(await titles(one)).toEqual(['three', 'two'])
    expect(await meshes()).toEqual(['a', 'b'])
    await storage.takeAway(ids[1]!)
    expect(await titles(one)).toEqual(['three', 'two'])
    await storage.takeAway(ids[0]!)
    expect(await titles(one)).toEqual(['three'])
    expect(await meshes()).toEqual(['b'])
    expect(await storage.readKept(ids[0]!)).toBeNull()
  })

  test(`${MOST_KEPT} beside the open one, the oldest goes`, async () => {
    const one = await tab(scanned('0', 'a'), new Map())
    for (let i = 1; i <= MOST_KEPT + 3; i++) {
      one.jobs.getState().open(scanned(String(i), 'a'), new Map([[hash('a'), bytes(1)]]))
      await one.saving.flush()
    }
    const all = await titles(one)
    expect(all).toHaveLength(MOST_KEPT + 1)
    expect([all[0], all.at(-1)]).toEqual([String(MOST_KEPT + 3), '3'])
  })

  test('the same job opened twice, and not touched, is kept once', async () => {
    const one = await tab(scanned('x', 'a'), new Map())
    for (const title of ['demo', 'demo', 'other']) {
      one.jobs.getState().open(scanned(title, 'a'), new Map())
      await one.saving.flush()
    }
    expect(await titles(one)).toEqual(['other', 'demo'])
  })

  test('answers are those of the state that is kept', async () => {
    const one = await tab(scanned('one', 'a'), new Map())
    const { jobs, saving, storage } = one
    const { id } = jobs.getState()
    const told = { clear: 'Yes, by 12.6 mm', live: 'Almost: one hold', off: 'Yes, in one pull' }
    await storage.tell(id, told)
    expect((await storage.list()).jobs).toEqual([])
    jobs.getState().edit(setTitle('two'))
    await saving.flush()
    await storage.tell(id, told)
    expect((await storage.list()).jobs[0]?.answers).toEqual(told)
    jobs.getState().edit(setTitle('three'))
    await saving.flush()
    expect((await storage.list()).jobs[0]?.answers).toBeNull()
  })
})

describe('nothing is lost', () => {
  test('of two tabs with a job each, the one that writes later says so and lays nothing aside', async () => {
    const mine = await tab(scanned('mine', 'a'), new Map())
    const theirs = await tab(scanned('theirs', 'b'), new Map())
    mine.jobs.getState().edit(setTitle('mine, kept'))
    await mine.saving.flush()
    theirs.jobs.getState().edit(setTitle('theirs, late'))
    await theirs.saving.flush()
    expect(theirs.told.onConflict).toHaveBeenCalledTimes(1)
    expect(await titles(mine)).toEqual(['mine, kept'])
  })

  test('a store without room keeps what it had, all of it', async () => {
    const one = await tab(scanned('one', 'a'), new Map([[hash('a'), bytes(1)]]))
    const { jobs, saving, storage, told } = one
    jobs.getState().edit(setTitle('kept'))
    await saving.flush()
    const put = IDBObjectStore.prototype.put
    const full = vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (
      this: IDBObjectStore,
      value: unknown,
      key?: IDBValidKey,
    ) {
      if (this.name === 'assets') throw new DOMException('no room', 'QuotaExceededError')
      return put.call(this, value, key)
    })
    jobs.getState().open(scanned('too large', 'b'), new Map([[hash('b'), bytes(2)]]))
    await saving.flush()
    expect(told.onFull).toHaveBeenCalled()
    expect(await titles(one)).toEqual(['kept'])
    expect(jobOfSaved((await storage.read())!.saved).title).toBe('kept')
    expect(await meshes()).toEqual(['a'])
    // Room was made: the next change is written, and the job before it is kept beside it.
    full.mockRestore()
    jobs.getState().edit(setTitle('fits now'))
    await saving.flush()
    expect(await titles(one)).toEqual(['fits now', 'kept'])
  })

  test('the store of the first form, one job without a name, is taken over', async () => {
    const old = await openDB(name, 1, {
      upgrade(db) {
        db.createObjectStore('jobs')
        db.createObjectStore('assets')
      },
    })
    const job = scanned('from before', 'a')
    await old.put('jobs', { text: jobText(job), revision: 7, savedAt: 70 }, 'current')
    await old.put('assets', bytes(1), hash('a'))
    old.close()
    const storage = await browserStorage(name)
    const stored = (await storage.read())!
    expect(jobOfSaved(stored.saved)).toEqual(job)
    expect(stored.saved.revision).toBe(7)
    const one = await tab(jobOfSaved(stored.saved), stored.assets, stored.saved.id, stored.saved.revision)
    one.jobs.getState().open(scanned('next', 'b'), new Map([[hash('b'), bytes(2)]]))
    await one.saving.flush()
    expect(await titles(one)).toEqual(['next', 'from before'])
    expect(await meshes()).toEqual(['a', 'b'])
  })
})

test('a mesh too large for a plain value comes back byte for byte', async () => {
  const large = Uint8Array.from({ length: 65e6 }, (_, i) => (i * 7) & 255)
  const first = await tab(scanned('large', 'f'), new Map([[hash('f'), large]]))
  first.jobs.getState().edit(setTitle('large scan'))
  await first.saving.flush()
  const kept = (await first.storage.read())!
  expect(jobOfSaved(kept.saved).title).toBe('large scan')
  expect(Buffer.compare(kept.assets.get(hash('f'))!, large)).toBe(0)
})
