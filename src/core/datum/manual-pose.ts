import { handedness, type Matrix4 } from '../geometry/axes'
import { Refused } from '../geometry/trouble'
import { cross, dot, plus, unit, type Vec } from '../geometry/vectors'

/** How far rows of a typed matrix may be from unit length and from right angles: five typed digits. */
const TOLERANCE = 1e-4

/**
 * Checks that a typed matrix is a rigid motion and cleans the rounding of its digits.
 *
 * @returns the motion with rows exactly of unit length and at right angles (to double rounding)
 * @throws Refused `setting-impossible` for anything else: a stretch, a shear, a mirror, or a number that is none
 */
export function manualPose(matrix: Matrix4): Matrix4 {
  const refuse = (what: string) => {
    throw new Refused(
      'setting-impossible',
      `datum: the matrix ${what}; give a rigid motion, 16 numbers row by row, in mm`,
    )
  }
  if (matrix.length !== 16) refuse(`has ${matrix.length} numbers instead of 16`)
  if (!matrix.every(Number.isFinite)) refuse('holds something that is not a number')
  const row = (r: number): Vec => [matrix[4 * r]!, matrix[4 * r + 1]!, matrix[4 * r + 2]!]
  const [a, b, c] = [row(0), row(1), row(2)]
  if (matrix[12] !== 0 || matrix[13] !== 0 || matrix[14] !== 0 || matrix[15] !== 1) refuse('does not end in 0 0 0 1')
  for (const r of [a, b, c])
    if (Math.abs(dot(r, r) - 1) > 2 * TOLERANCE) refuse('stretches lengths (its rows are not of unit length)')
  if ([dot(a, b), dot(b, c), dot(c, a)].some((d) => Math.abs(d) > TOLERANCE))
    refuse('shears (its rows are not at right angles)')
  if (handedness(matrix) < 0) refuse('mirrors left and right')
  const x = unit(a)
  const y = unit(plus(b, x, -dot(b, x)))
  const z = cross(x, y)
  return [...x, matrix[3]!, ...y, matrix[7]!, ...z, matrix[11]!, 0, 0, 0, 1]
}
