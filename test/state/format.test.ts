import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  angleText,
  areaText,
  countText,
  lengthText,
  massText,
  parseAngle,
  parseLength,
  parseMass,
  parsePlain,
  settingText,
} from '../../src/state/format'

describe('lengths as people read them', () => {
  test.each([
    [9.4, 'mm', '9.4 mm'],
    [0.2123, 'mm', '0.21 mm'],
    [412.4, 'mm', '412 mm'],
    [0, 'mm', '0 mm'],
    [-2.13, 'mm', '−2.1 mm'],
    [-0.001, 'mm', '0.00 mm'],
    [Number.NaN, 'mm', '– mm'],
    // 1 inch is 25.4 mm by definition (international yard and pound agreement, 1959).
    [38.1, 'in', '1 1/2 in'],
    [25.4, 'in', '1 in'],
    [12.7, 'in', '1/2 in'],
    [-12.7, 'in', '−1/2 in'],
    [0.2032, 'in', '0.008 in'],
  ] as const)('%d in %s reads %s', (mm, unit, text) => expect(lengthText(mm, unit)).toBe(text))

  test('a figure that decides is rounded against itself', () => {
    expect(lengthText(11.96, 'mm')).toBe('12.0 mm')
    expect(lengthText(11.96, 'mm', 1, 'down')).toBe('11.9 mm')
    expect(lengthText(12.6, 'mm', 1, 'down')).toBe('12.6 mm')
    expect(lengthText(2.41, 'mm', 1, 'up')).toBe('2.5 mm')
    // 11.96 mm is 30.1/64 in.
    expect(lengthText(11.96, 'in', undefined, 'down')).toBe('15/32 in')
  })

  test('what a field shows reads back as the same length', () => {
    expect(settingText(12, 'mm')).toBe('12 mm')
    expect(settingText(12.5, 'mm')).toBe('12.5 mm')
    expect(settingText(12, 'in')).toBe('0.4724 in')
    fc.assert(
      fc.property(fc.integer({ min: -64_000, max: 64_000 }), (n) => {
        const mm = (n * 25.4) / 64
        expect(parseLength(settingText(mm, 'in'), 'in')).toBeCloseTo(mm, 6)
      }),
      { seed: 7 },
    )
    fc.assert(
      fc.property(fc.integer({ min: -9_999_999, max: 9_999_999 }), (n) => {
        expect(parseLength(settingText(n / 1000, 'mm'))).toBeCloseTo(n / 1000, 9)
      }),
      { seed: 8 },
    )
  })
})

test('areas, angles, masses, counts', () => {
  expect(areaText(32_600)).toBe('326 cm²')
  expect(areaText(6_070_000)).toBe('6.07 m²')
  expect(areaText(999_900)).toBe('9999 cm²')
  expect(areaText(310)).toBe('3.1 cm²')
  expect(areaText(2)).toBe('under 0.1 cm²')
  expect(areaText(0)).toBe('0 cm²')
  expect(areaText(64_516, 'in')).toBe('100 in²')
  expect(angleText(-2.44)).toBe('−2.4°')
  expect(angleText(2.99, 1, 'down')).toBe('2.9°')
  expect(massText(61.42)).toBe('61.4 kg')
  expect(massText(0.35)).toBe('350 g')
  expect(countText(1_020_345)).toBe('1.02 M')
  expect(countText(48_211)).toBe('48.2 k')
  expect(countText(812)).toBe('812')
})

describe('lengths as people type them', () => {
  test.each([
    ['1 1/2in', 'mm', 38.1],
    ['1-1/2in', 'mm', 38.1],
    ['1 1/2"', 'mm', 38.1],
    ['1/2in', 'mm', 12.7],
    ['38mm', 'in', 38],
    ['3*12', 'mm', 36],
    ['3×12', 'in', 914.4],
    ['12', 'mm', 12],
    ['12', 'in', 304.8],
    ['12,5', 'mm', 12.5],
    ['.5', 'mm', 0.5],
    ['−4', 'mm', -4],
    ['- 4', 'mm', -4],
    ['2ft 3in', 'mm', 685.8],
    [`5' 3"`, 'mm', 1600.2],
    ['3.8 cm', 'mm', 38],
    ['0.6 m', 'in', 600],
    ['(12+3)*2', 'mm', 30],
    ['100/4', 'mm', 25],
    ['12 - 2', 'mm', 10],
    ['1in + 3', 'mm', 28.4],
    ['(1+2)in', 'mm', 76.2],
    ['3 * 1/2in', 'mm', 38.1],
  ] as const)('%s with %s shown', (text, unit, mm) => expect(parseLength(text, unit)).toBeCloseTo(mm, 9))

  test.each(['', '  ', 'twelve', '12 kg', '3in*2in', '1/0', '3**4', '(3', '12mm mm', '1 2 3', '12..5'])(
    '%j is not a length',
    (text) => expect(parseLength(text)).toBeNull(),
  )

  test('angles, masses and bare numbers take no lengths', () => {
    expect(parseAngle('3°')).toBe(3)
    expect(parseAngle('1.5 deg')).toBe(1.5)
    expect(parseAngle('3mm')).toBeNull()
    expect(parseMass('350 g')).toBeCloseTo(0.35, 12)
    expect(parseMass('2 lb')).toBeCloseTo(0.90718474, 12)
    expect(parsePlain('2*1.5')).toBe(3)
    expect(parsePlain('2mm')).toBeNull()
  })
})
