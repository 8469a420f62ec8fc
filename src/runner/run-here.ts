import { drive, type Host } from './drive'
import type { Runner } from './runner'
import { KERNELS, type Kernels } from './step-map'

/** Runs every kernel in this thread: for the command line and for tests. */
export function runHere(host: Host, kernels: Kernels = KERNELS): Runner {
  let open = true
  return {
    run: (name, request, { signal, onProgress } = {}) =>
      drive(kernels[name](request), host, {
        cancelled: () => !open || signal?.aborted === true,
        onProgress: onProgress ?? (() => {}),
      }),
    dispose: () => {
      open = false
    },
  }
}
