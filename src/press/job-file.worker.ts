/** Packs and unpacks job files away from the page: deflating a large scan takes many seconds, during which a person goes on working. */
import { type Refusal, Refused } from '../core/geometry/trouble'
import { type Job, type OpenedJob, readJobZip, writeJobZip } from '../core/job'

export type JobFileOrder =
  | { readonly kind: 'write'; readonly job: Job; readonly assets: ReadonlyMap<string, Uint8Array> }
  | { readonly kind: 'read'; readonly bytes: Uint8Array }

export type FromJobFile =
  | { readonly kind: 'written'; readonly bytes: Uint8Array }
  | { readonly kind: 'opened'; readonly opened: OpenedJob }
  | { readonly kind: 'refused'; readonly refusal: Refusal }
  | { readonly kind: 'defect'; readonly message: string }

interface WorkerScope {
  postMessage(message: FromJobFile, transfer?: readonly ArrayBuffer[]): void
  addEventListener(kind: 'message', receive: (event: { data: JobFileOrder }) => void): void
}
const scope = globalThis as unknown as WorkerScope

scope.addEventListener('message', ({ data }) => {
  try {
    if (data.kind === 'write') {
      const bytes = writeJobZip(data.job, data.assets)
      scope.postMessage({ kind: 'written', bytes }, [bytes.buffer as ArrayBuffer])
    } else {
      const opened = readJobZip(data.bytes)
      const buffers = new Set([...opened.assets.values()].map((asset) => asset.buffer as ArrayBuffer))
      scope.postMessage({ kind: 'opened', opened }, [...buffers])
    }
  } catch (error) {
    if (error instanceof Refused) scope.postMessage({ kind: 'refused', refusal: error.refusal })
    else scope.postMessage({ kind: 'defect', message: error instanceof Error ? error.message : String(error) })
  }
})
