/** Edits of the datum that need to know how the scan stands now: turned round, turned over, and by numbers. */
import { type Matrix4, multiply } from '../core/geometry/axes'
import type { Edit } from '../core/job'
import { setDatum, setDatumMatrix, tryEdit } from './edit'
import { motionOf, movedOn, type Pose, poseOf } from './pose-numbers'
import type { Stores } from './stores'

/** Half a turn about z: bow for stern. Half a turn about x: top for bottom. */
const HALF_TURN = {
  round: [-1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1],
  over: [1, 0, 0, 0, 0, -1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1],
} satisfies Record<string, Matrix4>

export type HalfTurn = keyof typeof HALF_TURN

const TITLE = { round: 'datum: bow for stern', over: 'datum: top for bottom' } satisfies Record<HalfTurn, string>

/**
 * An automatic datum keeps finding itself, the other way round; one by hand is turned as it stands.
 *
 * @returns null when it was done, else why not
 */
export function turnDatum(stores: Stores, way: HalfTurn): string | null {
  const { matrix, picks, forwardFlipped, upFlipped } = stores.jobs.getState().history.job.datum
  if (matrix === 'auto' && (picks?.pairs.length ?? 0) + (picks?.forward.length ?? 0) > 0)
    return 'The places that were picked say which end is which; take those back first.'
  const edit =
    matrix === 'auto'
      ? setDatum(way === 'round' ? { forwardFlipped: !forwardFlipped } : { upFlipped: !upFlipped })
      : setDatumMatrix(multiply(HALF_TURN[way], matrix).map((v) => v + 0))
  return tryEdit(stores.jobs, titled(edit, TITLE[way]))
}

const FLIP_KEYS: Readonly<Record<string, HalfTurn>> = { b: 'round', u: 'over' }

/** B and U on the drawing while the datum slip is open. @returns true when the key was for the datum */
export function datumKey(stores: Stores, key: string): boolean {
  const way = FLIP_KEYS[key.toLowerCase()]
  if (!way || stores.session.getState().slip !== 'datum') return false
  const fault = turnDatum(stores, way)
  if (fault) stores.session.setState({ notice: { kind: 'refused', text: fault } })
  return true
}

/** One number of the pose by hand, the others as they are now; the datum is then the person's. */
export const poseEdit = (motion: Matrix4, change: Partial<Pose>): Edit =>
  titled(setDatumMatrix(motionOf({ ...poseOf(motion), ...change })), `datum: ${saidOf(change)}`)

/** Turned or shifted on from where it is, in job axes. */
export const moveOnEdit = (motion: Matrix4, by: Partial<Pose>): Edit =>
  titled(setDatumMatrix(movedOn(motion, by)), `datum: further by ${saidOf(by)}`)

const titled = (edit: Edit, title: string): Edit => ({ ...edit, title })

const saidOf = (change: Partial<Pose>): string =>
  Object.entries(change)
    .map(([name, value]) => {
      const [what, unit] = name.split('_')
      return `${what} ${Math.round(value * 1000) / 1000}${unit === 'deg' ? '°' : ' mm'}`
    })
    .join(', ')
