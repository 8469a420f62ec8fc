/**
 * The far side of the wall, for any host that has message ports: the page's worker, and a Node channel in the contract test.
 */
import { drive, type Host } from './drive'
import type { Outcome, RunProgress } from './runner'
import { KERNELS, type KernelName, type Kernels } from './step-map'
import { KeptMeshes } from './transfer'

export type ToWorker =
  | {
      readonly kind: 'run'
      readonly id: number
      readonly name: KernelName
      readonly request: unknown
      readonly forget: readonly string[]
    }
  | { readonly kind: 'cancel'; readonly id: number }

export type FromWorker =
  | { readonly kind: 'progress'; readonly id: number; readonly progress: RunProgress }
  | { readonly kind: 'done'; readonly id: number; readonly outcome: Outcome<unknown> }
  | { readonly kind: 'defect'; readonly id: number; readonly message: string; readonly stack: string }

export interface Port {
  post(message: FromWorker): void
  listen(receive: (message: ToWorker) => void): void
}

export function serve(port: Port, host: Host, kernels: Kernels = KERNELS): void {
  const meshes = new KeptMeshes()
  const cancelled = new Set<number>()

  const run = async (message: ToWorker & { kind: 'run' }) => {
    const { id, name } = message
    try {
      meshes.forget(message.forget)
      const request = meshes.unpack(message.request)
      const kernel = kernels[name] as (request: unknown) => ReturnType<Kernels[KernelName]>
      const outcome = await drive<unknown>(
        kernel(request),
        host,
        () => cancelled.has(id),
        (progress) => port.post({ kind: 'progress', id, progress }),
      )
      if (outcome.ok) meshes.keep(outcome.value)
      port.post({ kind: 'done', id, outcome })
    } catch (error) {
      const known = error instanceof Error ? error : new Error(String(error))
      port.post({ kind: 'defect', id, message: known.message, stack: known.stack ?? '' })
    } finally {
      cancelled.delete(id)
    }
  }

  port.listen((message) => {
    if (message.kind === 'cancel') cancelled.add(message.id)
    else void run(message)
  })
}
