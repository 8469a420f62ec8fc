/** What the page opens with: the work that was saved in this browser, else the demo, else an empty page. */
import { Refused } from '../core/geometry/trouble'
import { adoptJob, type Job, parseJobValue, readJobZip } from '../core/job'
import { jobOfSaved, type SaveStorage } from '../state/save'

export interface Opening {
  readonly job: Job
  readonly assets: ReadonlyMap<string, Uint8Array>
  /** Stored revision this came from; 0: not from the store. */
  readonly revision: number
  /** Of the kept job; undefined: it is not kept yet. */
  readonly id?: string
  /** The demo, because nothing was kept. */
  readonly demo: boolean
  readonly savedAt: number | null
  /** A sentence for the person when something was in the way. */
  readonly said: string | null
}

const DEMO_URL = './demo/survey-launch.mwjob'

export async function openingJob(storage: SaveStorage | null): Promise<Opening> {
  let said: string | null = null
  let revision = 0
  try {
    const stored = await storage?.read()
    if (stored) {
      revision = stored.saved.revision
      const job = jobOfSaved(stored.saved)
      return {
        job,
        assets: stored.assets,
        revision,
        id: stored.saved.id,
        demo: false,
        savedAt: stored.saved.savedAt,
        said,
      }
    }
  } catch (error) {
    said = `The work saved in this browser cannot be read (${words(error)}); the demo is shown instead.`
  }
  try {
    return { ...(await demoJob()), revision, demo: true, savedAt: null, said }
  } catch (error) {
    const empty = `The demo job cannot be loaded (${words(error)}). Drop a scan or a job here to begin.`
    return {
      job: emptyJob(),
      assets: new Map(),
      revision,
      demo: false,
      savedAt: null,
      said: said ? `${said} ${empty}` : empty,
    }
  }
}

export async function demoJob(): Promise<{ job: Job; assets: ReadonlyMap<string, Uint8Array> }> {
  const answer = await fetch(DEMO_URL)
  if (!answer.ok) throw new Refused('asset-missing', `the server answers ${answer.status}`)
  return readJobZip(new Uint8Array(await answer.arrayBuffer()))
}

/** All defaults, and no scan yet. */
function emptyJob(): Job {
  const whole = adoptJob(
    parseJobValue({ format: 'mouldwright-job', version: 1, title: 'New top', scan: { files: ['scan'] } }),
    (name) => ({ asset: '', name }),
  )
  return { ...whole, scan: { ...whole.scan, files: [] } }
}

const words = (error: unknown): string => (error instanceof Error ? error.message.replace(/\.$/, '') : String(error))
