import type { WorkerLink } from './run-in-worker'
import type { FromWorker } from './serve'

/** Starts the page's worker. Only `app` calls this. */
export function pageWorker(): WorkerLink {
  const worker = new Worker(new URL('./step.worker.ts', import.meta.url), { type: 'module' })
  return {
    post: (message) => worker.postMessage(message),
    onMessage: (receive) =>
      worker.addEventListener('message', (event: MessageEvent<FromWorker>) => receive(event.data)),
    onDeath: (receive) => {
      worker.addEventListener('error', (event) => receive(event.message || 'it could not be loaded'))
      worker.addEventListener('messageerror', () => receive('a message could not be read'))
    },
    end: () => worker.terminate(),
  }
}
