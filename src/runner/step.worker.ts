/** The page's worker: nothing but a port. */
import { serve, type ToWorker } from './serve'

interface WorkerScope {
  postMessage(message: unknown): void
  addEventListener(kind: 'message', receive: (event: { data: ToWorker }) => void): void
}
const scope = globalThis as unknown as WorkerScope

// A message to oneself is the quickest way to let the port's other messages through; timers are clamped to 4 ms.
const { port1, port2 } = new MessageChannel()
const waiting: (() => void)[] = []
port1.onmessage = () => waiting.shift()?.()
const giveWay = () =>
  new Promise<void>((resolve) => {
    waiting.push(resolve)
    port2.postMessage(null)
  })

serve(
  {
    post: (message) => scope.postMessage(message),
    listen: (receive) => scope.addEventListener('message', (event) => receive(event.data)),
  },
  { giveWay, now: () => performance.now() },
)
