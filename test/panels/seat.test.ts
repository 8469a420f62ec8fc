import { expect, it } from 'vitest'
import { readPath } from '../../src/panels/steps/seat'

it('reads the corners of a chase, and nothing that is not a line', () => {
  expect(readPath('200, 0; -150, 40.5')).toEqual([
    [200, 0],
    [-150, 40.5],
  ])
  expect(readPath('1 2;3 4;')).toHaveLength(2)
  for (const text of ['', '200, 0', '1,2,3; 4,5', 'a, 1; 2, 3']) expect(readPath(text)).toBeNull()
})
