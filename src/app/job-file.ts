/** Job files, packed and unpacked in a worker of their own that lives as long as the work takes. */
import { Refused } from '../core/geometry/trouble'
import { assetsOf, type OpenedJob } from '../core/job'
import type { FromJobFile, JobFileOrder } from '../press/job-file.worker'
import type { Stores } from '../state/stores'
import { download, fileName } from './download'

/** Hands the job over as one file, its meshes in it. @throws on a defect of ours */
export async function saveJobFile({ jobs, session }: Stores): Promise<void> {
  const { history, assets } = jobs.getState()
  const { job } = history
  const wanted = new Set(assetsOf(job).map((mesh) => mesh.asset))
  const named = new Map([...assets].filter(([hash]) => wanted.has(hash)))
  const say = (kind: 'said' | 'refused', text: string) => session.setState({ notice: { kind, text } })
  say('said', 'Packing the job …')
  const made = await order({ kind: 'write', job, assets: named })
  if (made.kind === 'refused') return say('refused', made.refusal.message)
  if (made.kind !== 'written') throw new Error('save: the worker answered something else')
  download(`${fileName(job.title, job.release.revision)}.mwjob`, made.bytes, 'application/zip')
  session.setState({ notice: null })
}

/**
 * @param bytes the file; they are handed over and gone afterwards
 * @throws Refused as `readJobZip` does
 */
export async function openJobFile(bytes: Uint8Array): Promise<OpenedJob> {
  const made = await order({ kind: 'read', bytes }, [bytes.buffer as ArrayBuffer])
  if (made.kind === 'refused') throw new Refused(made.refusal.code, made.refusal.message)
  if (made.kind !== 'opened') throw new Error('open: the worker answered something else')
  return made.opened
}

function order(message: JobFileOrder, transfer: ArrayBuffer[] = []): Promise<FromJobFile> {
  const worker = new Worker(new URL('../press/job-file.worker.ts', import.meta.url), { type: 'module' })
  return new Promise<FromJobFile>((resolve, reject) => {
    worker.addEventListener('message', ({ data }: MessageEvent<FromJobFile>) => {
      if (data.kind === 'defect') reject(new Error(data.message))
      else resolve(data)
    })
    worker.addEventListener('error', (event) => reject(new Error(event.message || 'its worker could not be loaded')))
    worker.postMessage(message, transfer)
  }).finally(() => worker.terminate())
}
