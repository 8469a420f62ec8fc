/**
 * Sine, cosine, arc tangent, exponential and logarithm that give the same bits in every engine.
 *
 * The language leaves the last bit of `Math.sin` and its like to the engine, and engines use it (3–9 % of inputs differ); `**` is one of them.
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

/** Of an angle in radians. */
export const sinRad = (rad: number): number => sinDeg(rad * DEG_PER_RAD)
export const cosRad = (rad: number): number => cosDeg(rad * DEG_PER_RAD)
export const atan2Rad = (y: number, x: number): number => atan2Deg(y, x) * RAD_PER_DEG

export const square = (x: number): number => x * x

const LN2_HIGH = 0.6931471803691238
/** What the first lacks: ln 2 in two parts, the first with room for whole multiples (Cody & Waite 1980). */
const LN2_LOW = 1.9082149292705877e-10
const LN2 = Math.LN2

/** 2 to a whole power, exact; 0 and infinity beyond what a double holds. */
function twoTo(n: number): number {
  let result = 1
  let [base, left] = n < 0 ? [0.5, -n] : [2, n]
  for (left = Math.min(left, 2200); left > 0; left = Math.floor(left / 2)) {
    if (left % 2 === 1) result *= base
    base *= base
  }
  return result
}

/** e to the power x, to about 3e-16 of its value. Series: Abramowitz & Stegun 4.2.1. */
export function exp(x: number): number {
  if (Number.isNaN(x)) return x
  if (x > 710) return Infinity
  if (x < -746) return 0
  const n = Math.round(x / LN2)
  const rest = x - n * LN2_HIGH - n * LN2_LOW
  let sum = 1
  for (let k = 18; k >= 1; k--) sum = 1 + (rest / k) * sum
  // In two steps: 2 to the 1024th is beyond a double though the product is not.
  const half = Math.trunc(n / 2)
  return sum * twoTo(half) * twoTo(n - half)
}

/** Natural logarithm, to about 3e-16 of 1 or of its value; −Infinity at 0, NaN below. Series: Abramowitz & Stegun 4.1.27. */
export function ln(x: number): number {
  if (!(x > 0)) return x === 0 ? -Infinity : Number.NaN
  if (x === Infinity) return x
  let m = x
  let n = 0
  // By whole powers of two to between √½ and √2: exact.
  while (m > 1e9) {
    m /= 2 ** 30
    n += 30
  }
  while (m < 1e-9) {
    m *= 2 ** 30
    n -= 30
  }
  while (m > Math.SQRT2) {
    m /= 2
    n++
  }
  while (m < Math.SQRT1_2) {
    m *= 2
    n--
  }
  const t = (m - 1) / (m + 1)
  const q = t * t
  let sum = 0
  for (let k = 23; k >= 1; k -= 2) sum = 1 / k + q * sum
  return n * LN2_HIGH + (2 * t * sum + n * LN2_LOW)
}

/** A positive number to any power. */
export const power = (base: number, exponent: number): number => exp(exponent * ln(base))
