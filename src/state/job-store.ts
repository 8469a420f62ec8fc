/** The job being worked on, its history, and the bytes of its meshes. The only thing that is saved. */
import { createStore, type StoreApi } from 'zustand/vanilla'
import { Refused } from '../core/geometry/trouble'
import {
  applyEdit,
  closeMark,
  type Edit,
  type History,
  type Job,
  openMark,
  redo,
  startHistory,
  undo,
} from '../core/job'

export interface JobState {
  readonly history: History
  /** Which of the jobs kept in this browser it is; not in the job, so a copy in a file is a job of its own. */
  readonly id: string
  /** Bytes by SHA-256. Grows only; a mesh stays for as long as undo may need it. */
  readonly assets: ReadonlyMap<string, Uint8Array>
  /** Raised when another job is opened, so that cameras and notices know. */
  readonly opened: number
  edit(edit: Edit): void
  undo(): void
  redo(): void
  /** All edits until `endDrag` become one undo. */
  beginDrag(title: string): void
  endDrag(): void
  addAsset(hash: string, bytes: Uint8Array): void
  /** @param id of a job that is kept already; else it is a new one */
  open(job: Job, assets: ReadonlyMap<string, Uint8Array>, id?: string): void
}

export type JobStore = StoreApi<JobState>

/** Sixteen digits of chance. */
const newJobId = (): string =>
  Array.from(crypto.getRandomValues(new Uint8Array(8)), (byte) => byte.toString(16).padStart(2, '0')).join('')

export function createJobStore(job: Job, assets: ReadonlyMap<string, Uint8Array>, id = newJobId()): JobStore {
  return createStore<JobState>((set) => ({
    id,
    history: startHistory(job),
    assets,
    opened: 0,
    edit: (e) => set((s) => ({ history: applyEdit(s.history, e) })),
    undo: () => set((s) => ({ history: undo(s.history) })),
    redo: () => set((s) => ({ history: redo(s.history) })),
    beginDrag: (title) => set((s) => ({ history: openMark(s.history, title) })),
    endDrag: () => set((s) => ({ history: closeMark(s.history) })),
    addAsset: (hash, bytes) => set((s) => ({ assets: new Map(s.assets).set(hash, bytes) })),
    open: (opened, bytes, kept = newJobId()) =>
      set((s) => ({ history: startHistory(opened), assets: bytes, id: kept, opened: s.opened + 1 })),
  }))
}

/** @throws Refused `asset-missing` */
export function assetBytes(store: JobStore, hash: string): Uint8Array {
  const bytes = store.getState().assets.get(hash)
  if (!bytes)
    throw new Refused(
      'asset-missing',
      `The job names a mesh that is not here (${hash.slice(0, 8)}…); add its file again.`,
    )
  return bytes
}
