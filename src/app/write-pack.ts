import regularFont from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?url'
import boldFont from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?url'
import type { FromPress, PressOrder } from '../press/press.worker'
import { PROGRAM } from '../runner/version'
import { keepRevision } from '../state/edit'
import { resultsAtHand } from '../state/results'
import type { Stores } from '../state/stores'
import { download, fileName } from './download'

/**
 * Writes the release pack of what is at hand and hands it over as one zip. It is made in a worker of its own, fetched from
 * where the page came from when a pack is written and not before.
 * @throws on a defect of ours
 */
export async function writePack({ jobs, results, session }: Stores, at: string): Promise<void> {
  const { job } = jobs.getState().history
  const say = (kind: 'said' | 'refused', text: string) => session.setState({ notice: { kind, text } })
  say('said', 'Writing the pack')
  const made = await press(
    {
      input: { job, results: resultsAtHand(results.getState().steps), timings_s: {}, program: PROGRAM },
      at,
      regularFont: absolute(regularFont),
      boldFont: absolute(boldFont),
      viewer: absolute('./owner/viewer.js'),
    },
    (fraction) => say('said', `Writing the pack: ${Math.round(100 * fraction)} %`),
  )
  if (made.kind === 'refused') return say('refused', made.refusal.message)
  download(`${fileName(job.title, job.release.revision)}-pack.zip`, made.zip, 'application/zip')
  // The pack is of the job as it was; that it was released is said in the job from now on.
  jobs.getState().edit(keepRevision(made.revision))
  say('said', `The pack is written: ${made.files} files in one zip.`)
}

const absolute = (url: string): string => new URL(url, document.baseURI).href

type Made = Extract<FromPress, { kind: 'done' | 'refused' }>

function press(order: PressOrder, onProgress: (fraction: number) => void): Promise<Made> {
  const worker = new Worker(new URL('../press/press.worker.ts', import.meta.url), { type: 'module' })
  return new Promise<Made>((resolve, reject) => {
    worker.addEventListener('message', ({ data }: MessageEvent<FromPress>) => {
      if (data.kind === 'progress') onProgress(data.fraction)
      else if (data.kind === 'defect') reject(new Error(data.message))
      else resolve(data)
    })
    worker.addEventListener('error', (event) => reject(new Error(event.message || 'the press could not be loaded')))
    worker.postMessage(order)
  }).finally(() => worker.terminate())
}
