/** A thread of the command line: nothing but a port, as the page's worker is. */
import { parentPort } from 'node:worker_threads'
import { serve, type ToWorker } from '../runner/serve'

const port = parentPort
if (!port) throw new Error('cli: step-thread runs only as a thread')

serve(
  {
    post: (message) => port.postMessage(message),
    listen: (receive) => port.on('message', (message: ToWorker) => receive(message)),
  },
  { giveWay: () => new Promise((resolve) => setImmediate(resolve)), now: () => performance.now() },
)
