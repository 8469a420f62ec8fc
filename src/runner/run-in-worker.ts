import { Offers } from './offers'
import { CANCELLED, type Outcome, type Runner, type RunOptions } from './runner'
import type { FromWorker, ToWorker } from './serve'
import type { KernelName, RequestOf, ResultOf } from './step-map'
import { SentMeshes } from './transfer'

/** One worker as seen from the near side. */
export interface WorkerLink {
  post(message: ToWorker): void
  onMessage(receive: (message: FromWorker) => void): void
  /** The worker itself died (out of memory, failed to load). */
  onDeath(receive: (why: string) => void): void
  end(): void
}

interface Pending {
  readonly settle: (outcome: Outcome<unknown>) => void
  readonly fail: (error: Error) => void
  readonly options: RunOptions
}

interface Hand {
  readonly link: WorkerLink
  readonly sent: SentMeshes
  readonly pending: Map<number, Pending>
  readonly offers: Offers
}

/** Bytes of meshes that one worker may keep. */
const KEEP_BYTES = 1.5e9

/**
 * Runs kernels in up to `size` workers. Each request goes to the idlest worker, the one that made the earlier results first.
 * After a defect the worker is discarded; what else ran there fails with it. Pieces that a kernel offers (`sideBySide`) go to
 * workers that have nothing to do.
 */
export function runInWorkers(makeLink: () => WorkerLink, size: number): Runner {
  const hands: Hand[] = []
  let serial = 0
  let open = true

  const discard = (hand: Hand, why: Error) => {
    const at = hands.indexOf(hand)
    if (at >= 0) hands.splice(at, 1)
    hand.link.end()
    hand.offers.end()
    for (const p of hand.pending.values()) p.fail(why)
    hand.pending.clear()
  }

  /** Hands offered pieces to whoever has nothing to do. */
  const deal = () => {
    if (!open) return
    for (const { offers } of [...hands])
      for (;;) {
        const free = hands.find((h) => h.pending.size === 0)
        if (!free && hands.length >= size) return
        const piece = offers.take()
        if (!piece) break
        piece.settle(send(free ?? hire(), piece.name as KernelName, piece.request, { signal: piece.signal }))
      }
  }

  const hire = (): Hand => {
    const link = makeLink()
    const hand: Hand = {
      link,
      sent: new SentMeshes(KEEP_BYTES),
      pending: new Map(),
      offers: new Offers((offer, answer) => link.post({ offer, ...answer })),
    }
    hand.link.onMessage((message) => {
      if (message.kind === 'next') {
        hand.offers.next(message.offer)
        return
      }
      const job = hand.pending.get(message.id)
      if (!job) return
      if (message.kind === 'progress') {
        job.options.onProgress?.(message.progress)
        return
      }
      if (message.kind === 'offer') {
        hand.offers.add(message.offer, message.pieces, job.options.signal)
        deal()
        return
      }
      hand.pending.delete(message.id)
      if (message.kind === 'done') {
        if (message.outcome.ok) hand.sent.note(message.outcome.value)
        job.settle(message.outcome)
        deal()
        return
      }
      const defect = new Error(message.message)
      defect.stack = message.stack
      job.fail(defect)
      discard(hand, defect)
    })
    hand.link.onDeath((why) => discard(hand, new Error(`runner: the worker died: ${why}`)))
    hands.push(hand)
    return hand
  }

  const choose = (): Hand => {
    const idle = hands.find((h) => h.pending.size === 0)
    if (idle) return idle
    if (hands.length < size) return hire()
    return hands.reduce((a, b) => (b.pending.size < a.pending.size ? b : a))
  }

  const send = (hand: Hand, name: KernelName, request: unknown, options: RunOptions): Promise<Outcome<unknown>> => {
    const id = ++serial
    return new Promise<Outcome<unknown>>((settle, fail) => {
      const cancel = () => hand.link.post({ kind: 'cancel', id })
      options.signal?.addEventListener('abort', cancel, { once: true })
      const done = () => options.signal?.removeEventListener('abort', cancel)
      hand.pending.set(id, {
        settle: (outcome) => {
          done()
          settle(outcome)
        },
        fail: (error) => {
          done()
          fail(error)
        },
        options,
      })
      const { packed, forget } = hand.sent.pack(request)
      hand.link.post({ kind: 'run', id, name, request: packed, forget })
    })
  }

  return {
    run<N extends KernelName>(name: N, request: RequestOf<N>, options: RunOptions = {}): Promise<Outcome<ResultOf<N>>> {
      if (!open || options.signal?.aborted) return Promise.resolve({ ok: false, refusal: CANCELLED })
      return send(choose(), name, request, options) as Promise<Outcome<ResultOf<N>>>
    },
    dispose() {
      open = false
      for (const hand of [...hands]) {
        hand.offers.end()
        for (const p of hand.pending.values()) p.settle({ ok: false, refusal: CANCELLED })
        hand.pending.clear()
        hand.link.end()
      }
      hands.length = 0
    },
  }
}
