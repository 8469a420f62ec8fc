import { expect } from 'vitest'
import { drain, type Steps } from '../../src/core/geometry/kernel'
import { type Refusal, Refused } from '../../src/core/geometry/trouble'

/** Runs to the end and returns the refusal; fails the test if there is none, or if something raw is thrown. */
export function refusal(steps: () => Steps<unknown>): Refusal {
  try {
    drain(steps())
  } catch (trouble) {
    if (trouble instanceof Refused) {
      expectSentence(trouble.refusal.message)
      return trouble.refusal
    }
    throw trouble
  }
  throw new Error('expected a refusal, but it went through')
}

/** One plain sentence for a person: a full stop at the end, one line, nothing that only a developer could read. */
export function expectSentence(message: string): void {
  expect(message).toMatch(/^[^\n]{10,400}\.$/)
  expect(message).not.toMatch(/undefined|\bNaN\b|\bnull\b|TypeError|RangeError|\[object|stack/)
}
