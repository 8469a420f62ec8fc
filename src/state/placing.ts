/** Placing inlets and vents on a shell: points gathered from the sheet, then one edit of the job. */
import type { FeedEntry } from '../core/build-plan/types'
import type { Point } from '../core/geometry/axes'
import { setBuild, tryEdit } from './edit'
import { seatedClearance } from './results'
import type { Stores } from './stores'

export type PlacedKind = FeedEntry['kind'] | 'vent'

export interface Placing {
  readonly kind: PlacedKind
  readonly shell: FeedEntry['shell']
  readonly points: readonly Point<'job'>[]
}

/** A port's mouth that is common; the job may say another. */
const MOUTH_MM = 6
/** Fewest places that make one. */
const LEAST: Record<PlacedKind, number> = { point: 1, vent: 1, line: 2, ring: 3 }

export const startPlacing = ({ session }: Stores, kind: PlacedKind): void =>
  session.setState((s) => ({ placing: { kind, shell: s.fillingShell, points: [] } }))

export const cancelPlacing = ({ session }: Stores): void => session.setState({ placing: null })

export const isReady = ({ kind, points }: Placing): boolean => points.length >= LEAST[kind]

/** One more place, rounded to a tenth of a millimetre; points and vents are done with their first. */
export function addPlace(stores: Stores, at: Point<'job'>): void {
  const { placing } = stores.session.getState()
  if (!placing) return
  const [x, y, z] = at.map((v) => Math.round(v * 10) / 10) as [number, number, number]
  const next = { ...placing, points: [...placing.points, [x, y, z] as const] }
  stores.session.setState({ placing: next })
  if (next.kind === 'point' || next.kind === 'vent') finishPlacing(stores)
}

/** A place by its x and y: the shell's vertex nearest in plan. False without a shell. */
export function addPlaceInPlan(stores: Stores, x_mm: number, y_mm: number): boolean {
  const { placing } = stores.session.getState()
  const face = placing && seatedClearance(stores.results.getState().steps)?.[placing.shell].face
  if (!face) return false
  const { positions: p } = face
  let best = 0
  let least = Infinity
  for (let i = 0; i < p.length; i += 3) {
    const d = (p[i]! - x_mm) ** 2 + (p[i + 1]! - y_mm) ** 2
    if (d < least) {
      least = d
      best = i
    }
  }
  addPlace(stores, [x_mm, y_mm, p[best + 2]!])
  return true
}

/** Puts what was placed into the job and feeds from it. Too few places: nothing happens. */
export function finishPlacing(stores: Stores): void {
  const { placing } = stores.session.getState()
  if (!placing || !isReady(placing)) return
  const { feeds, vents } = stores.jobs.getState().history.job.build
  const { kind, shell, points } = placing
  const edit =
    kind === 'vent'
      ? setBuild({ vents: [...vents, ...points.map((at) => ({ shell, at }))] })
      : setBuild({ inlet: 'placed', feeds: [...feeds, { shell, kind, points, radius_mm: MOUTH_MM }] })
  tryEdit(stores.jobs, edit)
  stores.session.setState({ placing: null })
}
