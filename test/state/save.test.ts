import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { replaceScan, setTitle } from '../../src/core/job'
import { createJobStore } from '../../src/state/job-store'
import { jobOfSaved, keepSaved, type SavedJob, type SaveStorage, type WriteOutcome } from '../../src/state/save'
import { jobWith } from './results-at-hand'

/** A store in memory that behaves as the browser's is promised to. */
function memory(answer: () => WriteOutcome | Error = () => 'written') {
  let saved: SavedJob | null = null
  let assets = new Map<string, Uint8Array>()
  const storage: SaveStorage = {
    read: async () => (saved ? { saved, assets } : null),
    async write(next, bytes) {
      const outcome = answer()
      if (outcome instanceof Error) throw outcome
      if (outcome !== 'written') return outcome
      if ((saved?.revision ?? 0) !== next.revision - 1) return 'conflict'
      saved = next
      assets = new Map(bytes)
      return 'written'
    },
  }
  return { storage, now: () => saved, assets: () => assets }
}

const events = () => ({ onSaved: vi.fn(), onConflict: vi.fn(), onFull: vi.fn(), onFailed: vi.fn() })
const SCAN = 'a'.repeat(64)
const open = () => createJobStore(jobWith(), new Map([[SCAN, new Uint8Array([1])]]))

beforeEach(() => {
  vi.useFakeTimers()
})
afterEach(() => {
  vi.useRealTimers()
})

describe('work is kept as it happens', () => {
  test('within 300 ms, many changes in one write, and it reads back as the same job', async () => {
    const { storage, now, assets } = memory()
    const jobs = open()
    const told = events()
    const write = vi.spyOn(storage, 'write')
    keepSaved(jobs, storage, told, { revision: 0, now: () => 77 })
    for (const title of ['a', 'b', 'c']) jobs.getState().edit(setTitle(title))
    expect(now()).toBeNull()
    await vi.advanceTimersByTimeAsync(300)
    expect(write).toHaveBeenCalledTimes(1)
    expect(told.onSaved).toHaveBeenCalledWith(77)
    expect(jobOfSaved(now()!)).toEqual(jobs.getState().history.job)
    expect([...assets().keys()]).toEqual([SCAN])
  })

  test('a job that nobody changed is not written', async () => {
    const { storage, now } = memory()
    const saving = keepSaved(open(), storage, events(), { revision: 0, now: () => 0 })
    await saving.flush()
    expect(now()).toBeNull()
  })

  test('a job taken over with changes is written at once', async () => {
    const { storage, now } = memory()
    const jobs = open()
    keepSaved(jobs, storage, events(), { revision: 0, now: () => 5, changed: true })
    await vi.advanceTimersByTimeAsync(0)
    expect(now()?.savedAt).toBe(5)
  })

  test('meshes that the job no longer names are let go; undo brings them back', async () => {
    const { storage, assets } = memory()
    const jobs = open()
    const saving = keepSaved(jobs, storage, events(), { revision: 0, now: () => 0 })
    const other = 'b'.repeat(64)
    jobs.getState().addAsset(other, new Uint8Array([2]))
    jobs.getState().edit(replaceScan([{ asset: other, name: 'new.stl' }]))
    await saving.flush()
    expect([...assets().keys()]).toEqual([other])
    jobs.getState().undo()
    await saving.flush()
    expect([...assets().keys()]).toEqual([SCAN])
  })

  test('a flush does not wait for the timer, and writes never overtake each other', async () => {
    const { storage, now } = memory()
    const jobs = open()
    const saving = keepSaved(jobs, storage, events(), { revision: 0, now: () => 0 })
    jobs.getState().edit(setTitle('first'))
    const first = saving.flush()
    jobs.getState().edit(setTitle('second'))
    await Promise.all([first, saving.flush()])
    expect(jobOfSaved(now()!).title).toBe('second')
    // One write took both changes, or one followed the other; none was lost or refused.
    expect(now()!.revision).toBeGreaterThan(0)
  })
})

describe('nothing is overwritten', () => {
  test('two tabs: the second write of an old revision is refused, said, and ends saving there', async () => {
    const shared = memory()
    const [mine, other] = [open(), open()]
    const [toldMine, toldOther] = [events(), events()]
    const a = keepSaved(mine, shared.storage, toldMine, { revision: 0, now: () => 0 })
    const b = keepSaved(other, shared.storage, toldOther, { revision: 0, now: () => 0 })
    mine.getState().edit(setTitle('mine'))
    await a.flush()
    other.getState().edit(setTitle('theirs'))
    await b.flush()
    expect(toldOther.onConflict).toHaveBeenCalledTimes(1)
    expect(jobOfSaved(shared.now()!).title).toBe('mine')
    other.getState().edit(setTitle('theirs again'))
    await vi.advanceTimersByTimeAsync(1000)
    expect(toldOther.onConflict).toHaveBeenCalledTimes(1)
    mine.getState().edit(setTitle('mine again'))
    await a.flush()
    expect(jobOfSaved(shared.now()!).title).toBe('mine again')
  })

  test('a full store is said, and the next change is tried again', async () => {
    let room = false
    const { storage, now } = memory(() => (room ? 'written' : 'full'))
    const jobs = open()
    const told = events()
    const saving = keepSaved(jobs, storage, told, { revision: 0, now: () => 0 })
    jobs.getState().edit(setTitle('too much'))
    await saving.flush()
    expect(told.onFull).toHaveBeenCalledTimes(1)
    room = true
    jobs.getState().edit(setTitle('fits'))
    await saving.flush()
    expect(jobOfSaved(now()!).title).toBe('fits')
  })

  test('a store that fails is said in its own words', async () => {
    const { storage } = memory(() => new Error('disk gone'))
    const jobs = open()
    const told = events()
    const saving = keepSaved(jobs, storage, told, { revision: 0, now: () => 0 })
    jobs.getState().edit(setTitle('x'))
    await saving.flush()
    expect(told.onFailed).toHaveBeenCalledWith('disk gone')
  })
})
