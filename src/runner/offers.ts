import type { Offer } from '../core/geometry/kernel'
import type { Outcome } from './runner'

interface Open {
  readonly pieces: Offer['pieces']
  /** Numbers of the pieces that nobody has taken. */
  readonly left: number[]
  /** How many are being done elsewhere. */
  away: number
  readonly outcomes: [number, Outcome<unknown>][]
  defect: string | null
  /** The one who offered has asked for the next piece and got none. */
  asked: boolean
  readonly stop: AbortController
}

/** What the one who offered is told when it asks for a piece. */
export type NextAnswer =
  | { readonly kind: 'yours'; readonly piece: number }
  | { readonly kind: 'others'; readonly outcomes: Open['outcomes']; readonly defect: string | null }

/** A piece for an idle worker, and what to do with its outcome. */
export interface Taken {
  readonly name: string
  readonly request: unknown
  readonly signal: AbortSignal
  readonly settle: (outcome: Promise<Outcome<unknown>>) => void
}

/** The near side's list of pieces that one worker offers. */
export class Offers {
  private readonly open = new Map<number, Open>()
  private readonly answer: (offer: number, answer: NextAnswer) => void

  constructor(answer: (offer: number, answer: NextAnswer) => void) {
    this.answer = answer
  }

  /** @param signal of the run that offers: when it is given up, so are its pieces */
  add(offer: number, pieces: Offer['pieces'], signal: AbortSignal | undefined): void {
    const stop = new AbortController()
    const entry: Open = {
      pieces,
      left: pieces.map((_, i) => i),
      away: 0,
      outcomes: [],
      defect: null,
      asked: false,
      stop,
    }
    const giveUp = () => {
      entry.left.length = 0
      stop.abort()
    }
    if (signal?.aborted) giveUp()
    signal?.addEventListener('abort', giveUp, { once: true })
    this.open.set(offer, entry)
  }

  /** The one who offered is ready for a piece. It takes from the front, the others from the back. */
  next(offer: number): void {
    const entry = this.open.get(offer)
    if (!entry) return
    const piece = entry.left.shift()
    if (piece !== undefined) this.answer(offer, { kind: 'yours', piece })
    else {
      entry.asked = true
      this.close(offer, entry)
    }
  }

  /** A piece for a worker that has nothing to do; null if there is none. */
  take(): Taken | null {
    for (const [offer, entry] of this.open) {
      const piece = entry.left.pop()
      if (piece === undefined) continue
      entry.away++
      const back = () => {
        entry.away--
        this.close(offer, entry)
      }
      return {
        ...entry.pieces[piece]!,
        signal: entry.stop.signal,
        settle: (outcome) =>
          void outcome.then(
            (value) => {
              entry.outcomes.push([piece, value])
              back()
            },
            (error: unknown) => {
              entry.defect ??= error instanceof Error ? error.message : String(error)
              back()
            },
          ),
      }
    }
    return null
  }

  /** The worker is gone: nobody waits for its pieces. */
  end(): void {
    for (const { stop, left } of this.open.values()) {
      left.length = 0
      stop.abort()
    }
    this.open.clear()
  }

  private close(offer: number, { left, away, asked, outcomes, defect }: Open): void {
    if (!asked || away > 0 || left.length > 0 || !this.open.delete(offer)) return
    this.answer(offer, { kind: 'others', outcomes, defect })
  }
}
