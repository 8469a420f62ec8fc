/**
 * Stand axes of a placed fitting: the origin in the middle of its base, z out of the base, x the way it looks at turn 0, y to
 * the left of that. A mirrored twin's are mirrored with it.
 */
import { type Point, transformDirection } from '../geometry/axes'
import { cross, plus, scaled, type Vec } from '../geometry/vectors'
import { partReference } from './place'
import type { OnFitting } from './settings'
import type { PlacedFitting } from './types'

export interface Stand {
  readonly at: Point<'job'>
  /** Unit, job axes; left-handed for a mirrored twin. */
  readonly x: Vec
  readonly y: Vec
  readonly z: Vec
}

export function standOf({ pose, base, seat }: Pick<PlacedFitting, 'pose' | 'base' | 'seat'>): Stand {
  const up = scaled(base.normal, -1)
  const ahead = partReference(base.normal)
  const turn = (v: Vec): Vec => transformDirection(pose, v) as Vec
  return { at: seat.at, x: turn(ahead), y: turn(cross(up, ahead)), z: turn(up) }
}

/** A place on a fitting in job axes, mm. */
export function onPart(stand: Stand, [x, y, z]: OnFitting): Point<'job'> {
  const [px, py, pz] = plus(plus(plus(stand.at, stand.x, x), stand.y, y), stand.z, z)
  return [px, py, pz]
}
