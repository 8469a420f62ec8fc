/**
 * How a long computation is written: as a generator that yields its progress now and then.
 *
 * One kernel then serves three drivers: `drain` (tests, and kernels calling kernels to the end), a stepping driver with a
 * progress line (Node), a stepping driver that can cancel (worker). A per-facet loop that yields every 8,192 facets ran no
 * slower than the plain loop.
 */

/** Where a kernel is: a fraction from 0 to 1 of its own work, with words for the person who waits. */
export type Progress = number | { readonly fraction: number; readonly label: string }

/** A computation in small blocks; `return`s its result, never blocks for more than about 50 ms between two yields. */
export type Steps<T> = Generator<Progress, T, undefined>

/** How many facets (or vertices) a loop may handle between two yields. */
export const BLOCK = 8192

/** Runs a kernel to its end, paying no attention to its progress. */
export function drain<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
  }
}

/**
 * Runs a kernel as a part of a larger one: its 0…1 becomes `from`…`to` of the caller.
 *
 * @example const tree = yield* within(0.2, 0.5, 'search tree', buildTree(mesh))
 */
export function* within<T>(from: number, to: number, label: string, steps: Steps<T>): Steps<T> {
  for (;;) {
    const step = steps.next()
    if (step.done) return step.value
    const inner = typeof step.value === 'number' ? step.value : step.value.fraction
    const word = typeof step.value === 'number' ? label : step.value.label || label
    yield { fraction: from + (to - from) * inner, label: word }
  }
}
