/**
 * How a long computation is written: as a generator that yields its progress now and then.
 *
 * One kernel then serves three drivers: `drain` (tests, and kernels calling kernels to the end), a stepping driver with a
 * progress line (Node), a stepping driver that can cancel (worker). A per-facet loop that yields every 8,192 facets ran no
 * slower than the plain loop.
 */

/** Where a kernel is: a fraction from 0 to 1 of its own work, with words for the person who waits. */
export type Progress = number | { readonly fraction: number; readonly label: string } | Offer

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
    const { value } = step
    if (typeof value === 'number') yield { fraction: from + (to - from) * value, label }
    else if ('pieces' in value) {
      // The same object has to come back, since the answers are put into it.
      value.fraction = from + (to - from) * value.fraction
      value.to = from + (to - from) * value.to
      yield value
    } else yield { fraction: from + (to - from) * value.fraction, label: value.label || label }
  }
}

/** A kernel with a name that means the same on every thread, so that its work can be sent there. */
export interface NamedKernel<N extends string, Request, Result> {
  readonly name: N
  readonly run: (request: Request) => Steps<Result>
}

/**
 * Independent pieces of work, yielded by a kernel like progress. A driver that has other threads may have them done there and
 * put the results in before it steps on; one that does nothing leaves them to the kernel. The results are the same.
 */
export interface Offer {
  fraction: number
  /** Where the kernel will be when all pieces are done. */
  to: number
  readonly label: string
  readonly pieces: readonly { readonly name: string; readonly request: unknown }[]
  results?: readonly unknown[]
}

/**
 * Runs a kernel once for each request, at the same time where the driver can.
 *
 * @returns results in the order of the requests, whoever made them
 * @example const tools = yield* sideBySide(0, 0.6, 'tools', PLAN_TOOL, requests)
 */
export function* sideBySide<N extends string, Request, Result>(
  from: number,
  to: number,
  label: string,
  kernel: NamedKernel<N, Request, Result>,
  requests: readonly Request[],
): Steps<readonly Result[]> {
  const offer: Offer = {
    fraction: from,
    to,
    label,
    pieces: requests.map((request) => ({ name: kernel.name, request })),
  }
  if (requests.length > 1) yield offer
  if (offer.results) return offer.results as readonly Result[]
  const results: Result[] = []
  for (let i = 0; i < requests.length; i++) {
    const share = (k: number) => from + ((to - from) * k) / requests.length
    results.push(yield* within(share(i), share(i + 1), label, kernel.run(requests[i]!)))
  }
  return results
}
