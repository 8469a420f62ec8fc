/** Picking the datum by hand: places gathered on the drawing in scan axes, each whole group one edit of the job. */
import type { DatumPicks } from '../core/datum/types'
import { invertRigid, type Point, transformPoint } from '../core/geometry/axes'
import { setDatumPicks, tryEdit } from './edit'
import type { Stores } from './stores'

export type PickGroup = keyof DatumPicks

/** Places that make one group whole. */
export const PLACES_OF: { readonly [G in PickGroup]: number } = { level: 3, pairs: 2, forward: 2 }

const NO_PICKS: DatumPicks = { level: [], pairs: [], forward: [] }

export const picksOf = ({ jobs }: Stores): DatumPicks => jobs.getState().history.job.datum.picks ?? NO_PICKS

/** The metal alone is drawn, so that the shells hide no place. */
export function askDatum({ session }: Stores, group: PickGroup): void {
  session.setState({ asked: { for: 'datum', group, places: [] }, question: 'clear', measuring: false, placing: null })
}

/**
 * A place of the drawing as it lies in the scan, to a hundredth of a millimetre; null where it is not on the scan. The mesh
 * says in which axes it was drawn: a datum that is being made anew still shows the one before.
 */
export function placeInScan(
  { results }: Stores,
  meshId: string,
  at: readonly [number, number, number],
): Point<'scan'> | null {
  const { scan, datum } = results.getState().steps
  const place =
    datum.result?.mesh.id === meshId
      ? transformPoint(invertRigid(datum.result.motion), at)
      : scan.result?.mesh.id === meshId
        ? at
        : null
  return place && (place.map((v) => Math.round(v * 100) / 100 + 0) as [number, number, number])
}

/** Adds a place to the group that is asked; a whole group goes into the job, and pairs go on until they are left. */
export function takeDatumPlace(stores: Stores, place: Point<'scan'>): void {
  const { session, jobs } = stores
  const { asked } = session.getState()
  if (asked?.for !== 'datum') return
  const { group } = asked
  const places = [...asked.places, place]
  if (places.length < PLACES_OF[group]) {
    session.setState({ asked: { ...asked, places } })
    return
  }
  session.setState({ asked: group === 'pairs' ? { ...asked, places: [] } : null })
  const picks = picksOf(stores)
  const next = group === 'pairs' ? [...picks.pairs, { port: places[0]!, starboard: places[1]! }] : places
  tryEdit(jobs, setDatumPicks({ ...picks, [group]: next }, `${group} picked`))
}

/** @param number of a pair, from 0; without it the whole group goes */
export function dropDatumPicks(stores: Stores, group: PickGroup, number?: number): void {
  const picks = picksOf(stores)
  const left = group === 'pairs' && number !== undefined ? picks.pairs.filter((_, i) => i !== number) : []
  tryEdit(stores.jobs, setDatumPicks({ ...picks, [group]: left }, `${group} taken back`))
}

export interface PickMark {
  /** As drawn. */
  readonly at: Point
  readonly words: string
}

/** Picks of the job and those being made, where they are drawn. */
export function datumMarks(
  picks: DatumPicks | undefined,
  asked: { readonly group: PickGroup; readonly places: readonly Point<'scan'>[] } | null,
  drawn: (p: Point<'scan'>) => Point,
): PickMark[] {
  const { level, pairs, forward } = picks ?? NO_PICKS
  const marks: PickMark[] = []
  const mark = (at: Point<'scan'>, words: string) => marks.push({ at: drawn(at), words })
  // A group that is picked anew shows only its new places.
  if (asked?.group !== 'level') for (const p of level) mark(p, 'level')
  if (asked?.group !== 'forward') for (const [i, p] of forward.entries()) mark(p, ['aft', 'forward'][i]!)
  for (const [i, p] of pairs.entries()) {
    mark(p.port, `port ${i + 1}`)
    mark(p.starboard, `starboard ${i + 1}`)
  }
  for (const [i, p] of (asked?.places ?? []).entries())
    mark(
      p,
      asked!.group === 'level'
        ? 'level'
        : asked!.group === 'pairs'
          ? `port ${pairs.length + 1}`
          : ['aft', 'forward'][i]!,
    )
  return marks
}
