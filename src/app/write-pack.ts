import regularFont from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf?url'
import boldFont from 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf?url'
import type { Steps } from '../core/geometry/kernel'
import { Refused } from '../core/geometry/trouble'
import { revisionOf } from '../core/release'
import { zipPack } from '../core/release/zip-pack'
import { makePack } from '../press/make-pack'
import { drive } from '../runner/drive'
import { PROGRAM } from '../runner/version'
import { keepRevision } from '../state/edit'
import { resultsAtHand } from '../state/results'
import type { Stores } from '../state/stores'
import { download, fileName } from './download'

const host = { giveWay: () => new Promise<void>((resolve) => setTimeout(resolve)), now: () => performance.now() }

/** Writes the release pack of what is at hand and hands it over as one zip. */
export async function writePack({ jobs, results, session }: Stores, at: string): Promise<void> {
  const { job } = jobs.getState().history
  const { steps } = results.getState()
  const say = (text: string) => session.setState({ notice: { kind: 'said', text } })
  const run =
    (from: number) =>
    async <T>(kernel: Steps<T>): Promise<T> => {
      const outcome = await drive(kernel, host, {
        cancelled: () => false,
        onProgress: ({ fraction }) => say(`Writing the pack: ${from + Math.floor(fraction * 45)} %`),
      })
      if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
      return outcome.value
    }
  try {
    const input = { job, results: resultsAtHand(steps), timings_s: {}, program: PROGRAM }
    const pack = await makePack(input, { run: run(0), fonts, viewer })
    const zip = await run(55)(zipPack(pack.files))
    download(`${fileName(job.title, job.release.revision)}-pack.zip`, zip, 'application/zip')
    // The pack is of the job as it was; that it was released is said in the job from now on.
    jobs.getState().edit(keepRevision(revisionOf(job, input.results, pack.files, at)))
    say(`The pack is written: ${pack.files.length} files in one zip.`)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
  }
}

/** The report's fonts are fetched from where the page came from, when a report is printed and not before. */
async function fonts(): Promise<{ regular: Uint8Array; bold: Uint8Array }> {
  const bytes = async (url: string) => new Uint8Array(await (await fetch(url)).arrayBuffer())
  return { regular: await bytes(regularFont), bold: await bytes(boldFont) }
}

const viewer = async (): Promise<string> => (await fetch('./owner/viewer.js')).text()
