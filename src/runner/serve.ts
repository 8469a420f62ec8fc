/**
 * The far side of the wall, for any host that has message ports: the page's worker, and a Node channel in the contract test.
 */
import type { Offer, Steps } from '../core/geometry/kernel'
import { type DriveOptions, drive, type Host } from './drive'
import { CANCELLED, type Outcome, type RunProgress } from './runner'
import { KERNELS, type KernelName, type Kernels } from './step-map'
import { KeptMeshes, shareMeshes } from './transfer'

export type ToWorker =
  | {
      readonly kind: 'run'
      readonly id: number
      readonly name: KernelName
      readonly request: unknown
      readonly forget: readonly string[]
    }
  | { readonly kind: 'cancel'; readonly id: number }
  /** Answer to `next`: a piece that nobody has taken yet. */
  | { readonly kind: 'yours'; readonly offer: number; readonly piece: number }
  /** Answer to `next` when nothing is left and the others are through: their pieces by number, or why one failed. */
  | {
      readonly kind: 'others'
      readonly offer: number
      readonly outcomes: readonly (readonly [number, Outcome<unknown>])[]
      readonly defect: string | null
    }

export type FromWorker =
  | { readonly kind: 'progress'; readonly id: number; readonly progress: RunProgress }
  | { readonly kind: 'done'; readonly id: number; readonly outcome: Outcome<unknown> }
  | { readonly kind: 'defect'; readonly id: number; readonly message: string; readonly stack: string }
  /** Pieces of the run `id` that idle workers may take. */
  | { readonly kind: 'offer'; readonly id: number; readonly offer: number; readonly pieces: Offer['pieces'] }
  | { readonly kind: 'next'; readonly offer: number }

export interface Port {
  post(message: FromWorker): void
  listen(receive: (message: ToWorker) => void): void
}

type Answer = ToWorker & { kind: 'yours' | 'others' }

export function serve(port: Port, host: Host, kernels: Kernels = KERNELS): void {
  const meshes = new KeptMeshes()
  const cancelled = new Set<number>()
  const waiting = new Map<number, (answer: Answer) => void>()
  let serial = 0

  const kernelOf = (name: string, request: unknown): Steps<unknown> => {
    const kernel = kernels[name as KernelName] as ((request: unknown) => Steps<unknown>) | undefined
    if (!kernel) throw new Error(`runner: there is no kernel ${name}`)
    return kernel(request)
  }
  const next = (offer: number) =>
    new Promise<Answer>((resolve) => {
      waiting.set(offer, resolve)
      port.post({ kind: 'next', offer })
    })

  /** Offers the pieces to all, does itself what nobody has taken, and waits for the rest. */
  const share = async (
    id: number,
    pieces: Offer['pieces'],
    options: DriveOptions,
  ): Promise<Outcome<readonly unknown[]>> => {
    const offer = ++serial
    const outcomes: Outcome<unknown>[] = []
    let mine = 0
    port.post({ kind: 'offer', id, offer, pieces })
    for (;;) {
      const said = await next(offer)
      if (said.kind === 'others') {
        if (said.defect !== null) throw new Error(said.defect)
        for (const [number, outcome] of said.outcomes) outcomes[number] = outcome
        break
      }
      const { name, request } = pieces[said.piece]!
      const done = mine++
      outcomes[said.piece] = await drive(kernelOf(name, request), host, {
        ...options,
        onProgress: (p) => options.onProgress({ fraction: (done + p.fraction) / pieces.length, label: p.label }),
      })
    }
    if (options.cancelled()) return { ok: false, refusal: CANCELLED }
    const refused = outcomes.find((o) => !o.ok)
    if (refused && !refused.ok) return refused
    return { ok: true, value: outcomes.map((o) => (o.ok ? o.value : null)) }
  }

  const run = async (message: ToWorker & { kind: 'run' }) => {
    const { id, name } = message
    try {
      meshes.forget(message.forget)
      const request = meshes.unpack(message.request)
      const outcome = await drive(kernelOf(name, request), host, {
        cancelled: () => cancelled.has(id),
        onProgress: (progress) => port.post({ kind: 'progress', id, progress }),
        share: (pieces, options) => share(id, pieces, options),
      })
      if (outcome.ok) {
        shareMeshes(outcome.value)
        meshes.keep(outcome.value)
      }
      port.post({ kind: 'done', id, outcome })
    } catch (error) {
      const known = error instanceof Error ? error : new Error(String(error))
      port.post({ kind: 'defect', id, message: known.message, stack: known.stack ?? '' })
    } finally {
      cancelled.delete(id)
    }
  }

  port.listen((message) => {
    switch (message.kind) {
      case 'run':
        void run(message)
        break
      case 'cancel':
        cancelled.add(message.id)
        break
      default: {
        const resolve = waiting.get(message.offer)
        waiting.delete(message.offer)
        resolve?.(message)
      }
    }
  })
}
