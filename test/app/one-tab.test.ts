import { describe, expect, it } from 'vitest'
import { roomWords } from '../../src/app/one-tab'

describe('room in the browser', () => {
  it('is said to be short before it is gone, rounded down', () => {
    expect(roomWords(1e9, 20e9)).toBeNull()
    expect(roomWords(9.2e9, 10e9)).toContain('800 MB left')
    expect(roomWords(60_100_000, 100e6)).toContain('39 MB left')
    expect(roomWords(120e6, 100e6)).toContain('0 MB left')
  })

  it('is not guessed where the browser does not tell', () => {
    expect(roomWords(0, 0)).toBeNull()
  })
})
