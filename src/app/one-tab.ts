/** Saving as one works, in one tab at a time: the others say so, and may take over without either side losing work. */
import { jobOfSaved, keepSaved, type SaveStorage, type Saving } from '../state/save'
import type { Stores } from '../state/stores'
import { claimTab } from './tab-lock'

const ELSEWHERE = 'This job is open in another tab, which keeps it; what you change here is not kept.'
const TWO_JOBS = 'This tab keeps the job from now on. The job of the other tab is kept too: “open” lists it.'

export interface TabKeeping {
  /** Writes what is waiting, if this tab keeps the job. @returns false: another tab keeps it */
  flush(): Promise<boolean>
}

export async function workInOneTab(stores: Stores, storage: SaveStorage, revision: number): Promise<TabKeeping> {
  const { jobs, session } = stores
  let saving: Saving | null = null
  let measured: ReadonlyMap<string, Uint8Array> | null = null
  const warn = (text: string) => session.setState({ notice: { kind: 'refused', text } })
  const warnOfRoom = (text: string) =>
    session.setState({
      notice: {
        kind: 'refused',
        text,
        way: { words: 'jobs kept here', go: () => session.setState({ opening: true }) },
      },
    })
  const begin = (from: number, changed = false) => {
    saving = keepSaved(
      jobs,
      storage,
      {
        onSaved: (savedAt) => {
          session.setState({ savedAt })
          // Only meshes take much room.
          const { assets } = jobs.getState()
          if (assets !== measured) void warnNearlyFull(warnOfRoom)
          measured = assets
        },
        onConflict: () =>
          warn(
            'Another tab has saved other work since; nothing here was overwritten. Save this job as a file, or reload.',
          ),
        onFull: () =>
          warnOfRoom(
            'The browser’s storage is full, so the last change is not kept: take away a job that you no longer need, or save this one as a file.',
          ),
        onFailed: (why) => warn(`The browser could not keep the last change (${why}); save the job as a file.`),
      },
      { revision: from, now: () => Date.now(), changed },
    )
  }
  /** What the other tab left is laid on as one change, so that undo gives back what stood here. */
  const takeUp = async () => {
    const stored = await storage.read()
    const { id, opened, history } = jobs.getState()
    const worked = opened > 0 || history.past.length > 0
    if (stored && stored.saved.id !== id && worked) {
      // Another job than this tab's: neither takes the place of the other.
      begin(stored.saved.revision, true)
      session.setState({ notice: { kind: 'said', text: TWO_JOBS } })
      return
    }
    if (stored && stored.saved.revision !== revision) {
      jobs.setState({ id: stored.saved.id })
      const theirs = jobOfSaved(stored.saved)
      for (const [hash, bytes] of stored.assets) jobs.getState().addAsset(hash, bytes)
      jobs.getState().edit({ title: 'the work of the other tab', apply: () => theirs })
      begin(stored.saved.revision)
    } else begin(stored?.saved.revision ?? 0, worked)
    session.setState({ notice: { kind: 'said', text: 'This tab keeps the job from now on.' } })
  }
  const elsewhere = () =>
    session.setState({
      notice: { kind: 'said', text: ELSEWHERE, way: { words: 'keep it in this tab', go: () => lock.takeOver() } },
    })
  const lock = await claimTab({
    onMine: () => void takeUp().catch((error) => warn(`The saved work cannot be read (${String(error)}); reload.`)),
    onAsked: async () => saving?.flush(),
    onLost: () => {
      saving?.stop()
      saving = null
      // What this tab last saw stored; when its turn comes again it reads what was stored since.
      revision = -1
      elsewhere()
    },
  })
  window.addEventListener('pagehide', () => void saving?.flush())
  document.addEventListener('visibilitychange', () => document.hidden && void saving?.flush())
  if (lock.mine) begin(revision)
  else elsewhere()
  void warnNearlyFull(warnOfRoom)
  return {
    async flush() {
      await saving?.flush()
      return saving !== null
    },
  }
}

/** Said while there is still room to do something about it. */
async function warnNearlyFull(warn: (text: string) => void): Promise<void> {
  const { usage, quota } = (await navigator.storage?.estimate?.().catch(() => null)) ?? {}
  const left = roomWords(usage ?? 0, quota ?? 0)
  if (left) warn(left)
}

/** @returns a sentence when less than a tenth, or less than 50 MB, of what the browser grants is left; else null */
export function roomWords(usage_bytes: number, quota_bytes: number): string | null {
  if (quota_bytes <= 0) return null
  const left_MB = Math.max(0, Math.floor((quota_bytes - usage_bytes) / 1e6))
  if (left_MB >= 50 && usage_bytes < 0.9 * quota_bytes) return null
  return `The browser’s storage is nearly full (${left_MB} MB left): take away a job that you no longer need, or save this one as a file; else the next large scan will not be kept.`
}
