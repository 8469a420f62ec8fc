/**
 * Sine, cosine, tangent and arc tangent that give the same bits in every engine.
 *
 * The language leaves the last bit of `Math.sin` and its like to the engine, and engines use it (3–9 % of inputs differ).
 * These use + − × ÷ and square root only, which all engines round alike. Good to about 2e-16 relative to 1.
 * Series: Taylor about 0, after the argument was brought near 0 (Abramowitz & Stegun 4.3.65, 4.3.66, 4.4.42).
 */

const RAD_PER_DEG = 0.017453292519943295
const DEG_PER_RAD = 57.29577951308232

/** Angle in −45…45 degrees and the number of quarter turns taken off; exact, since both are multiples of one. */
function reduce(deg: number): { rest: number; quarter: number } {
  const turns = Math.round(deg / 90)
  return { rest: deg - 90 * turns, quarter: ((turns % 4) + 4) % 4 }
}

function sinSmall(x: number): number {
  const q = x * x
  let sum = 0
  for (let n = 19; n >= 3; n -= 2) sum = (q / (n * (n - 1))) * (1 - sum)
  return x * (1 - sum)
}

function cosSmall(x: number): number {
  const q = x * x
  let sum = 0
  for (let n = 20; n >= 2; n -= 2) sum = (q / (n * (n - 1))) * (1 - sum)
  return 1 - sum
}

/** Sine of an angle in degrees; exact at multiples of 90. */
export function sinDeg(deg: number): number {
  const { rest, quarter } = reduce(deg)
  const x = rest * RAD_PER_DEG
  if (quarter === 0) return sinSmall(x)
  if (quarter === 1) return cosSmall(x)
  return quarter === 2 ? -sinSmall(x) : -cosSmall(x)
}

/** Cosine of an angle in degrees; exact at multiples of 90. */
export const cosDeg = (deg: number): number => sinDeg(deg + 90)

export const tanDeg = (deg: number): number => sinDeg(deg) / cosDeg(deg)

/** Arc tangent in degrees, −90…90. */
export function atanDeg(t: number): number {
  if (t < 0) return -atanDeg(-t)
  if (t > 1) return 90 - atanDeg(1 / t)
  // Halving the angle three times brings it under 0.1: 13 terms are then more than enough.
  let x = t
  for (let i = 0; i < 3; i++) x /= 1 + Math.sqrt(1 + x * x)
  const q = x * x
  let sum = 0
  for (let n = 25; n >= 1; n -= 2) sum = 1 / n - q * sum
  return 8 * x * sum * DEG_PER_RAD
}

/** Angle of the vector (x, y) from +x, degrees, −180…180; 0 for the zero vector. */
export function atan2Deg(y: number, x: number): number {
  if (x === 0 && y === 0) return 0
  if (Math.abs(y) <= Math.abs(x)) {
    const a = atanDeg(y / x)
    if (x > 0) return a
    return y >= 0 ? a + 180 : a - 180
  }
  return (y > 0 ? 90 : -90) - atanDeg(x / y)
}

/** Angle whose sine is `s` (clamped to −1…1), degrees. */
export function asinDeg(s: number): number {
  const c = Math.min(1, Math.max(-1, s))
  return atan2Deg(c, Math.sqrt((1 - c) * (1 + c)))
}

/** Angle whose cosine is `c` (clamped to −1…1), degrees, 0…180. */
export function acosDeg(c: number): number {
  const d = Math.min(1, Math.max(-1, c))
  return atan2Deg(Math.sqrt((1 - d) * (1 + d)), d)
}
