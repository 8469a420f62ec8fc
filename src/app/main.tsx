/** Makes runner and stores, and hands them down. The only file that knows everything. */
import '@fontsource/alegreya-sans/latin-400.css'
import '@fontsource/alegreya-sans/latin-400-italic.css'
import '@fontsource/alegreya-sans/latin-500.css'
import '@fontsource/alegreya-sans/latin-700.css'
import '@fontsource/alegreya-sans/latin-ext-400.css'
import './tokens.css'
import './page.css'
import { createRoot } from 'react-dom/client'
import type { Actions, MeshQuestion, MeshUse } from '../panels'
import { pageWorker } from '../runner/page-worker'
import { runInWorkers } from '../runner/run-in-worker'
import { browserStorage, MOST_KEPT } from '../state/browser-store'
import { recordFigures } from '../state/change-figures'
import { keepDisplayCopy } from '../state/display-copy'
import { createJobStore } from '../state/job-store'
import { startMetalLook } from '../state/metal-look'
import { recentCache } from '../state/planner'
import { createResults } from '../state/results'
import { startRoughLook } from '../state/rough-look'
import { leaveJob } from '../state/session-moves'
import { createSession } from '../state/session-store'
import type { Stores } from '../state/stores'
import { App } from './app'
import { firstVisit } from './first-visit'
import { saveJobFile } from './job-file'
import { noteAnswers, openKept } from './kept-jobs'
import { lookBeside } from './kept-look'
import { lookForMoved } from './moved-look'
import { keepOffline } from './offline'
import { workInOneTab } from './one-tab'
import { demoJob, openingJob } from './opening-job'
import { printTraveller } from './print-traveller'
import { lookForPulls, tryPull } from './pull-look'
import { startSigning } from './signing'
import { takeFiles } from './take-files'
import { layByPicking } from './take-scan'
import { startWork } from './work'
import { writePack } from './write-pack'

/** Results that are kept beside the newest ones, so that undo finds them warm: four or five whole plans. */
const KEPT_RESULTS = 30

async function start(): Promise<void> {
  const storage = await browserStorage().catch(() => null)
  const opening = await openingJob(storage)
  const stores: Stores = {
    jobs: createJobStore(opening.job, opening.assets, opening.id),
    results: createResults(),
    session: createSession(),
  }
  const notify = (kind: 'refused' | 'defect' | 'said', text: string) =>
    stores.session.setState({ notice: { kind, text } })
  stores.session.setState({ savedAt: opening.savedAt })
  if (opening.said) notify('said', opening.said)

  // One core is left to the page; more than four workers would hold more copies of a large scan than they are worth.
  const hands = Math.max(1, Math.min(4, navigator.hardwareConcurrency - 1))
  const runner = runInWorkers(pageWorker, hands)
  const cache = recentCache(KEPT_RESULTS)
  const now = () => performance.now()
  const work = startWork(stores, runner, cache, now)
  const figures = recordFigures(stores.jobs, stores.results)

  if (storage === null)
    notify('refused', 'This browser keeps no data here, so nothing is saved as you work; save the job as a file.')
  else noteAnswers(stores, storage, await workInOneTab(stores, storage, opening.revision))

  const oops = (error: unknown) =>
    notify(
      'defect',
      `The program failed: ${error instanceof Error ? error.message : String(error)}. The job is unharmed.`,
    )
  startMetalLook(stores, runner, oops)
  keepDisplayCopy(stores.results, runner, oops)
  startRoughLook(stores, { runner, own: runInWorkers(pageWorker, 1), onDefect: oops })
  const desk = questionDesk()
  const signing = startSigning(stores)
  const keptJobs = async () => storage && { ...(await storage.list()), most: MOST_KEPT }
  const actions: Actions = {
    takeFiles: (files, use) =>
      void takeFiles({ stores, runner, askUse: desk.ask, openKey: signing.open }, files, use).catch(oops),
    keptJobs,
    openKept: (id) => void (storage && openKept(stores, storage, id).catch(oops)),
    async takeAwayKept(id) {
      await storage?.takeAway(id)
      return keptJobs()
    },
    openDemo: () =>
      void demoJob()
        .then(({ job, assets }) => {
          stores.jobs.getState().open(job, assets)
          leaveJob(stores.session)
        })
        .catch(oops),
    layByPicking: (number) => void layByPicking(stores, runner, number).catch(oops),
    saveFile: () => void saveJobFile(stores).catch(oops),
    lookForPulls: (part, symmetric) => void lookForPulls(stores, runner, part, symmetric).catch(oops),
    tryPull: (part, pull) => void tryPull(stores, runner, part, pull).catch(oops),
    lookBeside: (job, name) => void lookBeside(stores, { runner, cache, now }, job, name).catch(oops),
    lookForMoved: (release) => void lookForMoved(stores, { runner, cache, now }, release).catch(oops),
    printTraveller: () => printTraveller(stores),
    writePack: () => void writePack(stores, actions.now()).catch(oops),
    sign: (signature) => void signing.sign(signature).catch(oops),
    makeKey: (name) => void signing.make(name).catch(oops),
    stopWork: work.stop,
    goOn: work.goOn,
    now: () => new Date().toISOString(),
    figuresOf: figures.of,
  }
  createRoot(document.getElementById('page')!).render(
    <App stores={stores} actions={actions} questions={desk} firstLook={opening.demo && firstVisit()} />,
  )
}

/** Carries one question at a time from the files to the page. */
function questionDesk() {
  let show: ((question: MeshQuestion | null) => void) | null = null
  return {
    listen(listener: (question: MeshQuestion | null) => void) {
      show = listener
      return () => {
        show = null
      }
    },
    ask: (names: readonly string[]) =>
      new Promise<MeshUse | null>((resolve) => {
        show?.({
          names,
          answer(use) {
            show?.(null)
            resolve(use)
          },
        })
      }),
  }
}

keepOffline()
void start()
