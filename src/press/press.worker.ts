/** The page's press: makes and zips a whole pack away from the page, so that the page stays alive meanwhile. */
import type { Steps } from '../core/geometry/kernel'
import { type Refusal, Refused } from '../core/geometry/trouble'
import { type ReleaseInput, revisionOf } from '../core/release'
import { zipPack } from '../core/release/zip-pack'
import { makePack } from './make-pack'

/** What the page sends once: the job with its results, and where fonts and viewer lie. */
export interface PressOrder {
  readonly input: Omit<ReleaseInput, 'covers'>
  /** ISO 8601; the worker has no clock of its own. */
  readonly at: string
  readonly regularFont: string
  readonly boldFont: string
  readonly viewer: string
}

export type FromPress =
  | { readonly kind: 'progress'; readonly fraction: number }
  | {
      readonly kind: 'done'
      readonly zip: Uint8Array
      readonly files: number
      readonly revision: ReturnType<typeof revisionOf>
    }
  | { readonly kind: 'refused'; readonly refusal: Refusal }
  | { readonly kind: 'defect'; readonly message: string }

interface WorkerScope {
  postMessage(message: FromPress, transfer?: readonly ArrayBuffer[]): void
  addEventListener(kind: 'message', receive: (event: { data: PressOrder }) => void): void
}
const scope = globalThis as unknown as WorkerScope

/** Nothing else runs here, so a kernel goes to its end at once; only whole percents are told. */
function toEnd<T>(steps: Steps<T>, from: number, to: number): T {
  let told = -1
  for (let step = steps.next(); ; step = steps.next()) {
    if (step.done) return step.value
    const { value } = step
    const part = typeof value === 'number' ? value : value.fraction
    const percent = Math.floor(100 * (from + (to - from) * part))
    if (percent === told) continue
    told = percent
    scope.postMessage({ kind: 'progress', fraction: percent / 100 })
  }
}

const bytesOf = async (url: string): Promise<Uint8Array> => new Uint8Array(await (await fetch(url)).arrayBuffer())

/** Making is this share of the whole, zipping the rest. */
const MADE = 0.6

async function press({ input, at, regularFont, boldFont, viewer }: PressOrder): Promise<void> {
  const pack = await makePack(input, {
    run: async (steps, from, to) => toEnd(steps, MADE * from, MADE * to),
    fonts: async () => ({ regular: await bytesOf(regularFont), bold: await bytesOf(boldFont) }),
    viewer: async () => new TextDecoder().decode(await bytesOf(viewer)),
  })
  const zip = toEnd(zipPack(pack.files), MADE, 1)
  const revision = revisionOf(input.job, input.results, pack.files, at)
  scope.postMessage({ kind: 'done', zip, files: pack.files.length, revision }, [zip.buffer as ArrayBuffer])
}

scope.addEventListener('message', ({ data }) => {
  press(data).catch((error: unknown) => {
    if (error instanceof Refused) scope.postMessage({ kind: 'refused', refusal: error.refusal })
    else scope.postMessage({ kind: 'defect', message: error instanceof Error ? error.message : String(error) })
  })
})
