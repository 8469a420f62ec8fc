import { expect, test } from 'vitest'
import { roundedDown } from '../../../src/core/release/rounded-down'

test('a gap in print is never larger than it is, and a decimal stays itself', () => {
  expect(roundedDown(12.6699, 1)).toBe(12.6)
  expect(roundedDown(12.3, 1)).toBe(12.3)
  expect(roundedDown(-0.01, 1)).toBe(-0.1)
  for (let k = 0; k < 2000; k++) expect(roundedDown(k / 1000, 3)).toBe(k / 1000)
})
