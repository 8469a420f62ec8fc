/**
 * Axes: the coordinate spaces of a job, told apart by the type checker.
 *
 * `scan` axes are whatever the scanner used, in millimetres; `job` axes are x forward, y to port, z up, millimetres,
 * right-handed, with the centreline plane at y = 0; `part` axes belong to a supplier's model. ("Frame" means metal here.)
 */
export type Axes = 'scan' | 'job' | 'part'

declare const axesOf: unique symbol

/** A place, mm. A plain triple fits anywhere; one that was marked as `scan` does not fit where `job` is asked. */
export type Point<A extends Axes = Axes> = readonly [number, number, number] & { readonly [axesOf]?: A }

/** A unit vector. */
export type Direction<A extends Axes = Axes> = readonly [number, number, number] & { readonly [axesOf]?: A }

/** A rigid motion, or a rigid motion with a mirror, as 16 numbers row by row: `[R t; 0 0 0 1]`, lengths in mm. */
export type Matrix4 = readonly number[]

export const IDENTITY: Matrix4 = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]

/** The pull when nobody says otherwise: straight up. */
export const UP: Direction<'job'> = [0, 0, 1]

export function transformPoint(m: Matrix4, p: readonly [number, number, number]): [number, number, number] {
  const [x, y, z] = p
  return [
    m[0]! * x + m[1]! * y + m[2]! * z + m[3]!,
    m[4]! * x + m[5]! * y + m[6]! * z + m[7]!,
    m[8]! * x + m[9]! * y + m[10]! * z + m[11]!,
  ]
}

/** The rotation part only. */
export function transformDirection(m: Matrix4, d: readonly [number, number, number]): [number, number, number] {
  const [x, y, z] = d
  return [m[0]! * x + m[1]! * y + m[2]! * z, m[4]! * x + m[5]! * y + m[6]! * z, m[8]! * x + m[9]! * y + m[10]! * z]
}

/** `a` after `b`. */
export function multiply(a: Matrix4, b: Matrix4): Matrix4 {
  const out = new Array<number>(16)
  for (let r = 0; r < 4; r++)
    for (let c = 0; c < 4; c++) {
      let sum = 0
      for (let k = 0; k < 4; k++) sum += a[r * 4 + k]! * b[k * 4 + c]!
      out[r * 4 + c] = sum
    }
  return out
}

type ThreeRows = readonly [...Row, ...Row, ...Row]
type Row = readonly [number, number, number, number]

/** All but the last row, to be taken apart. */
export const threeRows = (m: Matrix4): ThreeRows => m as readonly number[] as ThreeRows

/** Inverse of a rigid motion (or mirror): the rotation is orthonormal, so its transpose serves. */
export function invertRigid(m: Matrix4): Matrix4 {
  const [a, b, c, x, d, e, f, y, g, h, i, z] = threeRows(m)
  return [
    a,
    d,
    g,
    -(a * x + d * y + g * z),
    b,
    e,
    h,
    -(b * x + e * y + h * z),
    c,
    f,
    i,
    -(c * x + f * y + i * z),
    0,
    0,
    0,
    1,
  ]
}

/** Determinant of the rotation part: +1 for a motion, −1 with a mirror. */
export function handedness(m: Matrix4): number {
  return (
    m[0]! * (m[5]! * m[10]! - m[6]! * m[9]!) -
    m[1]! * (m[4]! * m[10]! - m[6]! * m[8]!) +
    m[2]! * (m[4]! * m[9]! - m[5]! * m[8]!)
  )
}
