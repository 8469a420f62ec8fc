/** Seeded chance for tests: the same seed gives the same numbers in every engine (integer arithmetic, then + - * / sqrt). */
export interface Random {
  /** From 0 (included) to 1 (excluded), 32 bits. */
  next(): number
  /** From `low` (included) to `high` (excluded). */
  between(low: number, high: number): number
  /** Whole number from 0 to `n − 1`. */
  below(n: number): number
  /** Mean 0, sigma 1: Marsaglia's polar method, with `log` replaced by a series good to 1e-12. */
  gaussian(): number
  /** A direction, uniform over the sphere. */
  direction(): [number, number, number]
  /** A rotation matrix with a translation of up to `reach`, row by row, uniform over all rotations. */
  motion(reach: number): number[]
}

/** Mulberry32: a 32-bit state, full period. */
export function random(seed: number): Random {
  let state = seed >>> 0
  let spare: number | null = null
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
  const inDisc = (): [number, number, number] => {
    for (;;) {
      const u = 2 * next() - 1
      const v = 2 * next() - 1
      const s = u * u + v * v
      if (s > 0 && s < 1) return [u, v, s]
    }
  }
  const gaussian = () => {
    if (spare !== null) {
      const kept = spare
      spare = null
      return kept
    }
    const [u, v, s] = inDisc()
    const factor = Math.sqrt((-2 * ln(s)) / s)
    spare = v * factor
    return u * factor
  }
  const direction = (): [number, number, number] => {
    const [u, v, s] = inDisc()
    const root = 2 * Math.sqrt(1 - s)
    return [u * root, v * root, 1 - 2 * s]
  }
  return {
    next,
    between: (low, high) => low + (high - low) * next(),
    below: (n) => Math.floor(next() * n),
    gaussian,
    direction,
    motion(reach) {
      // A uniform unit quaternion from four gaussians.
      const q = [gaussian(), gaussian(), gaussian(), gaussian()]
      const length = Math.sqrt(q.reduce((sum, c) => sum + c * c, 0))
      const [w, x, y, z] = q.map((c) => c / length) as [number, number, number, number]
      const t = () => reach * (2 * next() - 1)
      return [
        1 - 2 * (y * y + z * z),
        2 * (x * y - w * z),
        2 * (x * z + w * y),
        t(),
        2 * (x * y + w * z),
        1 - 2 * (x * x + z * z),
        2 * (y * z - w * x),
        t(),
        2 * (x * z - w * y),
        2 * (y * z + w * x),
        1 - 2 * (x * x + y * y),
        t(),
        0,
        0,
        0,
        1,
      ]
    },
  }
}

/** Natural logarithm of a number in (0, 1) by + - * / alone: halve into [0.5, 1], then the atanh series. */
function ln(x: number): number {
  let twos = 0
  while (x < 0.5) {
    x *= 2
    twos++
  }
  const r = (x - 1) / (x + 1)
  const r2 = r * r
  let term = r
  let sum = 0
  for (let k = 1; k < 60; k += 2) {
    sum += term / k
    term *= r2
  }
  return 2 * sum - twos * Math.LN2
}
