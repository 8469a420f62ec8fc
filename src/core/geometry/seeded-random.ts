/**
 * Chance with a seed: core may not use any other. 32-bit integer arithmetic only, hence the same in every engine.
 *
 * @returns a function that gives the next number in [0, 1) (the "mulberry32" mixing steps, public domain)
 */
export function seededRandom(seed: number): () => number {
  let state = seed | 0
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}
