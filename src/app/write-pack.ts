import { buildPack } from '../core/release'
import { zipPack } from '../core/release/zip-pack'
import { drive } from '../runner/drive'
import { PROGRAM } from '../runner/version'
import { resultsAtHand } from '../state/results'
import type { Stores } from '../state/stores'
import { download, fileName } from './download'

const host = { giveWay: () => new Promise<void>((resolve) => setTimeout(resolve)), now: () => performance.now() }

/** Writes the release pack of what is at hand and hands it over as one zip. */
export async function writePack({ jobs, results, session }: Stores): Promise<void> {
  const { job } = jobs.getState().history
  const { steps } = results.getState()
  const say = (text: string) => session.setState({ notice: { kind: 'said', text } })
  const never = () => false
  const pack = await drive(
    buildPack({ job, results: resultsAtHand(steps), timings_s: {}, program: PROGRAM }),
    host,
    never,
    ({ fraction }) => say(`Writing the pack: ${Math.floor(fraction * 50)} %`),
  )
  const zip = pack.ok
    ? await drive(zipPack(pack.value.files), host, never, ({ fraction }) =>
        say(`Writing the pack: ${50 + Math.floor(fraction * 50)} %`),
      )
    : pack
  if (!zip.ok) {
    session.setState({ notice: { kind: 'refused', text: zip.refusal.message } })
    return
  }
  download(`${fileName(job.title, job.release.revision)}-pack.zip`, zip.value, 'application/zip')
  say(`The pack is written: ${pack.ok ? pack.value.files.length : 0} files in one zip.`)
}
