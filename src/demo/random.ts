/**
 * Seeded chance for the demo generator: the same seed gives the same numbers in every engine, because only integer
 * arithmetic, `+ - * /` and `sqrt` are used (`log` and `cos` differ in the last bit between engines).
 */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number
  /** Uniform in [low, high). */
  between(low: number, high: number): number
  /** Uniform whole number from `low` to `high`, both included. */
  whole(low: number, high: number): number
  pick<T>(choices: readonly T[]): T
  /** Mean 0, deviation 1: the sum of twelve uniform numbers less six. Never beyond 6. */
  gauss(): number
  /** Unit vector, uniform on the sphere. */
  direction(): [number, number, number]
  /** Rotation, uniform over all rotations, nine numbers row by row. */
  rotation(): number[]
  /** A stream of its own, told apart by a word: drawing more from one leaves the others as they were. */
  fork(word: string): Random
}

/**
 * @param seed any text or whole number
 * @example const chance = seeded(2); const length_mm = chance.between(2400, 2800)
 */
export function seeded(seed: number | string): Random {
  const text = String(seed)
  let [a, b, c, d] = [0x9e3779b9, 0x243f6a88, 0xb7e15162, 1]
  for (let i = 0; i < text.length; i++) {
    a = Math.imul(a ^ text.charCodeAt(i), 0x85ebca6b)
    b = Math.imul(b + text.charCodeAt(i) + i, 0xc2b2ae35)
    c = (c << 13) ^ (c >>> 19) ^ a
  }

  // "Small fast counting" generator, 128 bits of state, three adds and a shift a draw.
  const word = (): number => {
    const sum = (a + b + d) | 0
    d = (d + 1) | 0
    a = b ^ (b >>> 9)
    b = (c + (c << 3)) | 0
    c = (c << 21) | (c >>> 11)
    c = (c + sum) | 0
    return sum >>> 0
  }
  for (let i = 0; i < 16; i++) word()

  const next = (): number => word() / 4294967296
  const random: Random = {
    next,
    between: (low, high) => low + (high - low) * next(),
    whole: (low, high) => low + Math.floor((high - low + 1) * next()),
    pick: (choices) => choices[Math.floor(choices.length * next())]!,
    gauss: () => {
      let sum = -6
      for (let i = 0; i < 12; i++) sum += next()
      return sum
    },
    direction: () => {
      for (;;) {
        const [x, y, z] = [next() * 2 - 1, next() * 2 - 1, next() * 2 - 1]
        const square = x * x + y * y + z * z
        if (square > 1 || square < 1e-4) continue
        const length = Math.sqrt(square)
        return [x / length, y / length, z / length]
      }
    },
    rotation: () => {
      // A unit quaternion by rejection from the 4-ball: uniform, and no angle is needed.
      for (;;) {
        const q = [next() * 2 - 1, next() * 2 - 1, next() * 2 - 1, next() * 2 - 1] as const
        const square = q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]
        if (square > 1 || square < 1e-4) continue
        const s = 2 / square
        const [w, x, y, z] = q
        return [
          1 - s * (y * y + z * z),
          s * (x * y - w * z),
          s * (x * z + w * y),
          s * (x * y + w * z),
          1 - s * (x * x + z * z),
          s * (y * z - w * x),
          s * (x * z - w * y),
          s * (y * z + w * x),
          1 - s * (x * x + y * y),
        ]
      }
    },
    fork: (name) => seeded(`${text}/${name}`),
  }
  return random
}
