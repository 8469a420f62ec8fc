/**
 * The tab is killed at a random moment, two hundred times: what was changed more than a second before is kept, and what is kept
 * is one whole job. The store commits whole transactions, as the browser's does, and takes its time.
 */
import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { setTitle } from '../../src/core/job'
import { createJobStore } from '../../src/state/job-store'
import { jobOfSaved, keepSaved, type SavedJob, type SaveStorage } from '../../src/state/save'
import { random } from '../support/random'
import { jobWith } from './results-at-hand'

const KILLS = 200
/** A transaction takes up to this long, ms. */
const SLOWEST_MS = 400
const SCAN = 'a'.repeat(64)

beforeEach(() => {
  vi.useFakeTimers()
})
afterEach(() => {
  vi.useRealTimers()
})

test('killed at any moment, nothing older than a second is lost', async () => {
  for (let seed = 1; seed <= KILLS; seed++) {
    const chance = random(seed)
    let committed: SavedJob | null = null
    let alive = true
    const storage: SaveStorage = {
      read: async () => null,
      write: (next) =>
        new Promise((resolve) => {
          setTimeout(
            () => {
              // A transaction that had not ended when the tab died never happened.
              if (!alive) return
              committed = next
              resolve('written')
            },
            chance.between(1, SLOWEST_MS),
          )
        }),
    }
    const jobs = createJobStore(jobWith(), new Map([[SCAN, new Uint8Array([1])]]))
    const saving = keepSaved(
      jobs,
      storage,
      { onSaved() {}, onConflict() {}, onFull() {}, onFailed() {} },
      { revision: 0, now: () => Date.now() },
    )
    const killedAt = chance.between(100, 6000)
    const changes: { at: number; title: string }[] = []
    let now = 0
    for (;;) {
      const next = now + chance.between(1, 500)
      if (next >= killedAt) break
      await vi.advanceTimersByTimeAsync(next - now)
      now = next
      const title = `change ${changes.length}`
      jobs.getState().edit(setTitle(title))
      changes.push({ at: now, title })
    }
    await vi.advanceTimersByTimeAsync(killedAt - now)
    alive = false
    saving.stop()
    await vi.advanceTimersByTimeAsync(2000)
    const kept = committed as SavedJob | null
    const keptUpTo = kept ? changes.findIndex((c) => c.title === jobOfSaved(kept).title) : -1
    const owed = changes.filter((c) => c.at <= killedAt - 1000).length - 1
    expect(keptUpTo, `seed ${seed}, killed at ${killedAt.toFixed(0)} ms`).toBeGreaterThanOrEqual(owed)
  }
})

test('a clock that is set back keeps nothing from being saved', async () => {
  let committed: SavedJob | null = null
  const storage: SaveStorage = {
    read: async () => null,
    async write(next) {
      committed = next
      return 'written'
    },
  }
  let clock = 1_800_000_000_000
  const jobs = createJobStore(jobWith(), new Map([[SCAN, new Uint8Array([1])]]))
  const saving = keepSaved(
    jobs,
    storage,
    { onSaved() {}, onConflict() {}, onFull() {}, onFailed() {} },
    { revision: 0, now: () => clock },
  )
  for (const title of ['before', 'after']) {
    jobs.getState().edit(setTitle(title))
    await saving.flush()
    clock -= 86_400_000
  }
  const kept = committed as SavedJob | null
  expect(kept && jobOfSaved(kept).title).toBe('after')
  expect(kept?.revision).toBe(2)
})
