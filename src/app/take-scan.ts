/** Scans: the first one or another instead of it, one more of the same frame, and the picking that lays it on the first. */
import { Refused } from '../core/geometry/trouble'
import type { ScanResult } from '../core/scan/types'
import type { Runner } from '../runner/runner'
import { addRepair, addScanFiles, replaceScan, tryEdit } from '../state/edit'
import { assetBytes } from '../state/job-store'
import { startLaying } from '../state/laying'
import { openStep } from '../state/session-moves'
import type { Stores } from '../state/stores'
import { keep, type TakeHost, type Taken } from './taken'

/** Stray pieces below this share of the largest are dropped from a new scan, as an edit of its own. */
const STRAY_SHARE = 0.005

export async function takeScan({ stores, runner }: TakeHost, taken: readonly Taken[]): Promise<void> {
  const { jobs, session } = stores
  const { unit, health } = await readScan(stores, runner, taken, 'auto')
  const files = keep(stores, taken)
  jobs.getState().edit(replaceScan(files))
  if (health.islands > 1) jobs.getState().edit(addRepair({ kind: 'drop-islands', belowShare: STRAY_SHARE }))
  session.setState({ notice: null, fitting: null })
  // The unit must be looked at by a person where the file does not say it.
  if (unit.from === 'size') openStep(session, 'scan')
}

/** More files of the frame that is here already; each must be readable, how it lies on the first is for the scan step to say. */
export async function takeMoreScan({ stores, runner }: TakeHost, taken: readonly Taken[]): Promise<void> {
  const { jobs, session } = stores
  const there = new Set(jobs.getState().history.job.scan.files.map((f) => f.asset))
  const twice = taken.find((f) => there.has(f.sha256))
  if (twice)
    throw new Refused('setting-impossible', `${twice.name} is in the scan already; choose a scan of other metal.`)
  for (const file of taken) await readScan(stores, runner, [file], 'auto')
  const fault = tryEdit(jobs, addScanFiles(keep(stores, taken)))
  session.setState({ notice: fault === null ? null : { kind: 'refused', text: fault } })
  openStep(session, 'scan')
}

/** @throws Refused where the files cannot be read */
async function readScan(
  stores: Stores,
  runner: Runner,
  files: readonly { readonly name: string; readonly bytes: Uint8Array }[],
  unit: ScanResult['unit']['unit'] | 'auto',
  noise_mm: number | null = null,
): Promise<ScanResult> {
  const names = files.map((f) => f.name).join(', ')
  const outcome = await runner.run(
    'scan',
    { files, unit, repairs: [], noise_mm },
    {
      onProgress: ({ fraction }) =>
        stores.session.setState({
          notice: { kind: 'said', text: `Reading ${names}: ${Math.floor(fraction * 100)} %` },
        }),
    },
  )
  if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
  return outcome.value
}

/** Only noise is asked of a mesh that is picked on: any will do. */
const ANY_NOISE_MM = 0.3

/** Draws the first file and a further one beside each other, each as it came, so that pairs can be picked. */
export async function layByPicking(stores: Stores, runner: Runner, number: number): Promise<void> {
  const { jobs, results, session } = stores
  const { scan } = jobs.getState().history.job
  const known = results.getState().steps.scan.result?.unit.unit ?? null
  try {
    const meshes = []
    for (const file of [scan.files[0]!, scan.files[number - 1]!]) {
      const files = [{ name: file.name, bytes: assetBytes(jobs, file.asset) }]
      const asked = await readScan(stores, runner, files, scan.unit, ANY_NOISE_MM)
      // Files that state no unit share one; alone, one of them might be taken for another.
      const again = scan.unit === 'auto' && asked.unit.from === 'size' && known !== null && known !== asked.unit.unit
      meshes.push((again ? await readScan(stores, runner, files, known, ANY_NOISE_MM) : asked).mesh)
    }
    session.setState({ notice: null })
    // Whoever undid the file meanwhile has nothing to lay.
    if (jobs.getState().history.job.scan.files[number - 1]?.asset !== scan.files[number - 1]!.asset) return
    startLaying(stores, number, meshes[0]!, meshes[1]!)
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
  }
}
