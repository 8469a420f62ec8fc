import type { FromReader, ReaderHost } from './guarded'

/** Starts the page's reader. Only `app` uses this. */
export const PAGE_READER: ReaderHost = {
  open: () => {
    const worker = new Worker(new URL('./step-file.worker.ts', import.meta.url), { type: 'module' })
    return {
      post: (file) => worker.postMessage(file),
      onMessage: (receive) => worker.addEventListener('message', (e: MessageEvent<FromReader>) => receive(e.data)),
      onDeath: (receive) =>
        worker.addEventListener('error', (event) => receive(event.message || 'it could not be loaded')),
      end: () => worker.terminate(),
    }
  },
  after: (seconds, call) => {
    const timer = setTimeout(call, 1000 * seconds)
    return () => clearTimeout(timer)
  },
}
