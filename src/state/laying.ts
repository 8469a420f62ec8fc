/** Laying a further scan on the first by picked pairs: both are drawn beside each other, and spots that are the same are picked. */
import { IDENTITY, invertRigid, type Matrix4, multiply, type Point, transformPoint } from '../core/geometry/axes'
import { bestMotion } from '../core/geometry/best-motion'
import { bounds, type Mesh, transformMesh } from '../core/geometry/mesh'
import { Refused } from '../core/geometry/trouble'
import type { FileRegister } from '../core/scan/types'
import type { PickMark } from './datum-picks'
import { registerFile, tryEdit } from './edit'
import type { SessionState } from './session-store'
import type { Stores } from './stores'

export type Side = 'standing' | 'moving'

/** Meshes as drawn; picks as they lie in the file, mm. */
export interface Laying {
  /** Place of the file among the scan's, from 2. */
  readonly file: number
  readonly names: { readonly standing: string; readonly moving: string }
  readonly drawn: { readonly [S in Side]: Mesh<'job'> }
  /** A file's axes to where it is drawn. */
  readonly shown: { readonly [S in Side]: Matrix4 }
  readonly pairs: FileRegister['pairs']
  /** A spot that waits for its partner. */
  readonly half: { readonly side: Side; readonly at: Point<'scan'> } | null
}

/** Drawn this share of the first one's breadth apart. */
const APART = 0.15
/** Fewest pairs that hold a mesh. */
const LEAST_PAIRS = 3

/** @param number place of the moving file, from 2 */
export function startLaying(stores: Stores, number: number, standing: Mesh<'scan'>, moving: Mesh<'scan'>): void {
  const { files, register } = stores.jobs.getState().history.job.scan
  const motion = stores.results.getState().steps.datum.result?.motion ?? IDENTITY
  const first = transformMesh(standing, motion, 'job')
  const a = bounds(first)
  const b = bounds(transformMesh(moving, motion, 'job'))
  const breadth = a.max[1] - a.min[1]
  // Beside the first to starboard, middles in line fore and aft, feet at one height.
  const shift: Matrix4 = [
    ...[1, 0, 0, (a.min[0] + a.max[0] - b.min[0] - b.max[0]) / 2],
    ...[0, 1, 0, a.min[1] - APART * breadth - b.max[1]],
    ...[0, 0, 1, a.min[2] - b.min[2], 0, 0, 0, 1],
  ]
  const shown = { standing: motion, moving: multiply(shift, motion) }
  stores.session.setState({
    laying: {
      file: number,
      names: { standing: files[0]!.name, moving: files[number - 1]!.name },
      drawn: { standing: first, moving: transformMesh(moving, shown.moving, 'job') },
      shown,
      pairs: register?.[number - 2]?.pairs ?? [],
      half: null,
    },
    asked: { for: 'lay' },
    question: 'clear',
    view: 'plan',
    measuring: false,
    placing: null,
  })
}

/** Drawn for as long as the slip of the scan is open. */
export const layingShown = ({ slip, laying }: SessionState): Laying | null => (slip === 'scan' ? laying : null)

/** @returns false where the mesh is neither of the two */
export function takeLayPlace({ session }: Stores, meshId: string, at: Point): boolean {
  const { laying } = session.getState()
  const side = (['standing', 'moving'] as const).find((s) => laying?.drawn[s].id === meshId)
  if (!laying || !side) return false
  const inFile = transformPoint(invertRigid(laying.shown[side]), at)
  const place = inFile.map((v) => Math.round(v * 100) / 100 + 0) as [number, number, number]
  const { half, pairs } = laying
  // The same side again: the hand thought better of it.
  if (!half || half.side === side) {
    session.setState({ laying: { ...laying, half: { side, at: place } } })
    return true
  }
  const pair = side === 'moving' ? { moving: place, standing: half.at } : { moving: half.at, standing: place }
  session.setState({ laying: { ...laying, pairs: [...pairs, pair], half: null } })
  return true
}

/** Takes back the spot that waits, else a pair: the last, or the one told. */
export function dropLayPair({ session }: Stores, number?: number): void {
  const { laying } = session.getState()
  if (!laying) return
  const gone = number ?? laying.pairs.length - 1
  const change = laying.half && number === undefined ? {} : { pairs: laying.pairs.filter((_, i) => i !== gone) }
  session.setState({ laying: { ...laying, ...change, half: null } })
}

export const stopLaying = ({ session }: Stores): void =>
  session.setState((s) => ({ laying: null, asked: s.asked?.for === 'lay' ? null : s.asked }))

export interface LayFit {
  /** Why these pairs do not hold the mesh; null: they do. */
  readonly fault: string | null
  /** What they leave, mm; null where they do not hold it. */
  readonly rms_mm: number | null
  readonly each_mm: readonly number[]
}

/** What the pairs leave between each other, before anything is matched. */
export function layFit(pairs: FileRegister['pairs']): LayFit {
  const flat = (side: Side) => pairs.flatMap((p) => [...p[side]])
  if (pairs.length < LEAST_PAIRS) return { fault: null, rms_mm: null, each_mm: [] }
  try {
    const { motion, rms_mm } = bestMotion(flat('moving'), flat('standing'))
    const each_mm = pairs.map(({ moving, standing }) => {
      const p = transformPoint(motion, [moving[0], moving[1], moving[2]])
      return Math.hypot(p[0] - standing[0], p[1] - standing[1], p[2] - standing[2])
    })
    return { fault: null, rms_mm, each_mm }
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    return { fault: error.refusal.message, rms_mm: null, each_mm: [] }
  }
}

/** Puts the pairs into the job; the surfaces are matched from there. False: they do not hold the mesh. */
export function layByPairs(stores: Stores): boolean {
  const { laying } = stores.session.getState()
  if (!laying || layFit(laying.pairs).rms_mm === null) return false
  stopLaying(stores)
  return tryEdit(stores.jobs, registerFile(laying.file, { how: 'pairs', pairs: laying.pairs })) === null
}

/** Pairs by their number on both meshes; the spot that waits by the next. */
export function layMarks({ pairs, half, shown }: Laying): PickMark[] {
  const mark = (side: Side, at: Point<'scan'>, number: number): PickMark => ({
    at: transformPoint(shown[side], [at[0], at[1], at[2]]),
    words: String(number),
  })
  return [
    ...pairs.flatMap((p, i) => [mark('standing', p.standing, i + 1), mark('moving', p.moving, i + 1)]),
    ...(half ? [mark(half.side, half.at, pairs.length + 1)] : []),
  ]
}
