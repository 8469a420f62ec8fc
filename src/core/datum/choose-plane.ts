import { dot } from '../geometry/vectors'
import { clearlyWorse, type FoundMirrors, type MirrorCandidate } from './find-mirror'

export interface ChosenPlane {
  readonly plane: MirrorCandidate
  /** Next best different plane; null when no other was found. */
  readonly runnerUp: MirrorCandidate | null
  /** The runner-up is less than twice as bad: somebody should look. */
  readonly unsure: boolean
  /** A level plane was as good but passed over, because the metal lies flat in it. */
  readonly flatPassedOver: boolean
}

/** A frame whose thinnest spread is below this share of the next (as variance) lies flat: its own plane is not the centreline. */
const FLAT = 0.25
/** cos 30°. */
const NEAR_AXIS = 0.866

/**
 * The centreline plane among the planes found: the best score, except that a flat frame (a ring without legs) is always nearly
 * symmetric about the plane it lies in, which cannot be a centreline.
 *
 * @returns null when there is no candidate
 */
export function choosePlane(found: FoundMirrors): ChosenPlane | null {
  const [thin, middle] = found.principal.variance
  const isLevel = (c: MirrorCandidate) =>
    thin < FLAT * middle && Math.abs(dot(c.pose.normal, found.principal.axes[0])) > NEAR_AXIS
  const fit = found.candidates.filter((c) => !isLevel(c))
  const plane = fit[0]
  if (!plane) return null
  const runnerUp = fit[1] ?? null
  return {
    plane,
    runnerUp,
    unsure: runnerUp !== null && !clearlyWorse(runnerUp, plane),
    flatPassedOver: found.candidates.some((c) => isLevel(c) && !clearlyWorse(c, plane)),
  }
}
