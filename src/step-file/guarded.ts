/**
 * The library for STEP in a worker of its own: it may die or never end, and must take neither page nor command line with it.
 * Every file gets a fresh worker, because a file that broke the library leaves its memory in an unknown state.
 */
import { type Refusal, Refused } from '../core/geometry/trouble'
import type { StepFile, StepMesh } from './tessellate'

export type FromReader =
  | { readonly kind: 'done'; readonly mesh: StepMesh }
  | { readonly kind: 'refused'; readonly refusal: Refusal }
  /** The library threw: damaged files do this to it. */
  | { readonly kind: 'broke'; readonly message: string }

export interface ReaderLink {
  post(file: StepFile): void
  onMessage(receive: (message: FromReader) => void): void
  onDeath(receive: (why: string) => void): void
  end(): void
}

export interface ReaderHost {
  readonly open: () => ReaderLink
  /** Calls back after so many seconds; returns what calls it off. */
  readonly after: (seconds: number, call: () => void) => () => void
  readonly limit_s?: number
}

/** A plate with a thousand faces took 5 s on two slow cores; twenty times that is a file that will not end. */
export const LIMIT_S = 120

/**
 * @throws Refused as `tessellate` does, `file-damaged` when the library breaks on the file, `too-large` past the time limit
 */
export async function readStepFile(file: StepFile, host: ReaderHost): Promise<StepMesh> {
  const limit_s = host.limit_s ?? LIMIT_S
  const link = host.open()
  let callOff = () => {}
  try {
    const answer = await new Promise<FromReader>((resolve) => {
      link.onMessage(resolve)
      link.onDeath((message) => resolve({ kind: 'broke', message }))
      callOff = host.after(limit_s, () =>
        resolve({
          kind: 'refused',
          refusal: {
            code: 'too-large',
            message: `${file.name} was not read within ${limit_s} s and was given up; save the part alone, or as STL.`,
          },
        }),
      )
      link.post(file)
    })
    if (answer.kind === 'done') return answer.mesh
    if (answer.kind === 'refused') throw new Refused(answer.refusal.code, answer.refusal.message)
    throw new Refused(
      'file-damaged',
      `${file.name} cannot be read: the reader broke on it (${answer.message.slice(0, 120)}); save it again, or as STL.`,
    )
  } finally {
    callOff()
    link.end()
  }
}
