import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import { runInWorkers, type WorkerLink } from '../runner/run-in-worker'
import type { Runner } from '../runner/runner'
import type { FromWorker } from '../runner/serve'

/**
 * Steps that do not wait for each other run side by side. Four threads also on two cores: behind the clearance step stand
 * tooling, analysis and build, and the longest, which offers half of its work, must not share its thread with the others.
 */
export const runInThreads = (): Runner => runInWorkers(thread, Math.max(4, Math.min(8, availableParallelism())))

/** A thread does not inherit the loader for TypeScript, so it fetches it before its own entry. */
const START = `const { loader, entry } = require('node:worker_threads').workerData
import(loader).then(({ register }) => { register(); return import(entry) })`

/** A thread with an entry beside this file. */
export const threadOf = (entry: string): Worker =>
  new Worker(START, {
    eval: true,
    workerData: { loader: import.meta.resolve('tsx/esm/api'), entry: new URL(entry, import.meta.url).href },
  })

function thread(): WorkerLink {
  const worker = threadOf('./step-thread.ts')
  return {
    post: (message) => worker.postMessage(message),
    onMessage: (receive) => worker.on('message', (message: FromWorker) => receive(message)),
    onDeath: (receive) => worker.on('error', (error) => receive(error.message)),
    end: () => void worker.terminate(),
  }
}
