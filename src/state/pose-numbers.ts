/**
 * The motion from scan axes to job axes as six numbers that a person can compare with a level and a tape, and back again.
 *
 * Job axes: x forward, y to port, z up. The scan is turned about x first (roll), then about y (pitch), then about z (yaw), all
 * about the fixed axes of the job: R = Rz(yaw) · Ry(−pitch) · Rx(roll); then its origin is put in its place. Signs are those
 * of the trim in docs/axes-and-units.md: roll above 0 lowers starboard, pitch above 0 lifts the bow, yaw takes it to port.
 */
import { type Matrix4, multiply, threeRows } from '../core/geometry/axes'
import { asinDeg, atan2Deg, cosDeg, sinDeg } from '../core/geometry/portable-math'

export interface Pose {
  /** Where the origin of the scan's axes stands in the job, mm. */
  readonly x_mm: number
  readonly y_mm: number
  readonly z_mm: number
  readonly roll_deg: number
  /** −90 to 90. */
  readonly pitch_deg: number
  readonly yaw_deg: number
}

/** From here on roll and yaw turn about the same axis, and only their difference is known: roll is said to be all of it. */
const UPRIGHT = 1 - 1e-12

/** @param motion rigid */
export function poseOf(motion: Matrix4): Pose {
  const [r00, r01, , x, r10, r11, , y, r20, r21, r22, z] = threeRows(motion)
  const upright = Math.abs(r20) > UPRIGHT
  return {
    x_mm: x,
    y_mm: y,
    z_mm: z,
    roll_deg: upright ? atan2Deg(r20 > 0 ? -r01 : r01, r11) : atan2Deg(r21, r22),
    pitch_deg: asinDeg(Math.min(1, Math.max(-1, r20))),
    yaw_deg: upright ? 0 : atan2Deg(r10, r00),
  }
}

export function motionOf(pose: Pose): Matrix4 {
  const { roll_deg, pitch_deg, yaw_deg, x_mm, y_mm, z_mm } = pose
  const [sr, cr] = [sinDeg(roll_deg), cosDeg(roll_deg)]
  const [sp, cp] = [-sinDeg(pitch_deg), cosDeg(pitch_deg)]
  const [sy, cy] = [sinDeg(yaw_deg), cosDeg(yaw_deg)]
  const rows = [
    [cy * cp, cy * sp * sr - sy * cr, cy * sp * cr + sy * sr, x_mm],
    [sy * cp, sy * sp * sr + cy * cr, sy * sp * cr - cy * sr, y_mm],
    [-sp, cp * sr, cp * cr, z_mm],
    [0, 0, 0, 1],
  ]
  // A minus nought is a nought.
  return rows.flat().map((v) => v + 0)
}

/** The same scan moved on in the job: turned about the job's own axes (roll, pitch, yaw in this order), then shifted. */
export const movedOn = (motion: Matrix4, by: Partial<Pose>): Matrix4 =>
  multiply(motionOf({ x_mm: 0, y_mm: 0, z_mm: 0, roll_deg: 0, pitch_deg: 0, yaw_deg: 0, ...by }), motion)
