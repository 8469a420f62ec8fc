/** The page's reader of STEP files: fetched from where the page came from when one arrives, and not before. */
import wasm from 'occt-import-js/dist/occt-import-js.wasm?url'
import { answer } from './answer'
import type { FromReader } from './guarded'
import type { StepFile } from './tessellate'

interface WorkerScope {
  readonly location: { readonly href: string }
  postMessage(message: FromReader): void
  addEventListener(kind: 'message', receive: (event: { data: StepFile }) => void): void
}
const scope = globalThis as unknown as WorkerScope

scope.addEventListener('message', ({ data }) => {
  void answer(data, new URL(wasm, scope.location.href).href).then((message) => scope.postMessage(message))
})
