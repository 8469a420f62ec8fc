import { sightAt, type Vec3 } from '../camera/eye'
import type { EyeMoment } from '../camera/eye-rig'

/** A line of sight flatter than this meets a level plane too far away to be meant. */
const FLATTEST = 0.12

/** The place of the level plane at height `z` under a place of the sheet, whole millimetres; null where one looks along it. */
export function planeUnder({ eye, basis, free }: EyeMoment, z: number, x_px: number, y_px: number): Vec3 | null {
  const { from, along } = sightAt(eye, basis, free, x_px, y_px)
  if (Math.abs(along[2]) < FLATTEST) return null
  const t = (z - from[2]) / along[2]
  return [Math.round(from[0] + t * along[0]), Math.round(from[1] + t * along[1]), z]
}
