/**
 * Answers that depend on a mesh and a few words, kept for as long as the mesh itself: nobody writes into a mesh after it was
 * made, so the answer would be the same. A worker meets the same objects again and again while a fitting is dragged.
 */
export class Remembered<Answer> {
  private readonly answers = new WeakMap<object, Map<string, Answer>>()

  /** The answer for `of` and `key`, if it is still there; it counts as used. */
  get(of: object, key: string): Answer | undefined {
    const own = this.answers.get(of)
    const answer = own?.get(key)
    if (own && answer !== undefined) {
      own.delete(key)
      own.set(key, answer)
    }
    return answer
  }

  /** @param most how many answers of this object are kept; those used longest ago are let go */
  set(of: object, key: string, answer: Answer, most: number): Answer {
    const own = this.answers.get(of) ?? new Map<string, Answer>()
    this.answers.set(of, own)
    own.set(key, answer)
    for (const old of own.keys()) {
      if (own.size <= most) break
      own.delete(old)
    }
    return answer
  }
}
