/** A file as it came in, and what takes it. */
import type { MeshAsset } from '../core/job'
import type { MeshUse } from '../panels'
import type { Runner } from '../runner/runner'
import type { Stores } from '../state/stores'
import type { FileRead } from './read-file'

export interface Taken extends FileRead {
  readonly original?: NonNullable<MeshAsset['original']>
  /** What a person must know of how it came in. */
  readonly said?: string
}

export interface TakeHost {
  readonly stores: Stores
  readonly runner: Runner
  /** Asks the person what a mesh is; null: neither. */
  readonly askUse: (names: readonly string[]) => Promise<MeshUse | null>
  /** Opens the file of a person's key. */
  readonly openKey: (text: string) => Promise<void>
}

/** Lays the bytes beside the job, and says how the job is to name them. */
export function keep(stores: Stores, taken: readonly Taken[]): MeshAsset[] {
  const assets: MeshAsset[] = []
  for (const { name, bytes, sha256: asset, original } of taken) {
    stores.jobs.getState().addAsset(asset, bytes)
    assets.push({ asset, name, ...(original ? { original } : {}) })
  }
  return assets
}
