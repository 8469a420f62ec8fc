import { asinDeg } from './portable-math'

/** Three numbers, for code outside hot loops (there: scalars). */
export type Vec = readonly [number, number, number]

export const dot = (a: Vec, b: Vec): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

export const cross = (a: Vec, b: Vec): Vec => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
]

export const scaled = (a: Vec, s: number): Vec => [a[0] * s, a[1] * s, a[2] * s]

export const plus = (a: Vec, b: Vec, s = 1): Vec => [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]]

/** @throws a defect for a vector without length */
export function unit(a: Vec): Vec {
  const l = Math.sqrt(dot(a, a))
  if (!(l > 0)) throw new Error('geometry: a direction needs a length')
  return [a[0] / l, a[1] / l, a[2] / l]
}

/** The part of `a` across the unit vector `n`, of unit length. */
export const across = (a: Vec, n: Vec): Vec => unit(plus(a, n, -dot(a, n)))

/** Angle between two unit vectors, degrees. */
export function angleBetween_deg(a: Vec, b: Vec): number {
  const c = cross(a, b)
  const s = Math.sqrt(dot(c, c))
  const angle = asinDeg(Math.min(1, s))
  return dot(a, b) >= 0 ? angle : 180 - angle
}
