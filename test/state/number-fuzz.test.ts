/**
 * What may stand in a number field. Sums that were made with their value come back with it; whatever else is typed or pasted
 * gives a finite number or none, and never a fault. `FUZZ_NUMBERS=1000000 npx vitest run test/state/number-fuzz.test.ts`
 * types so many of each; CI a few.
 */
import { expect, it } from 'vitest'
import { parseAngle, parseLength, parseMass, parsePlain, type ShownUnit, settingFigure } from '../../src/state/format'
import { type Random, random } from '../support/random'

const COUNT = Number(process.env['FUZZ_NUMBERS'] ?? 3000)
const LONG = 7_200_000

const PIECES = [
  ...'0123456789',
  ...'+-*/()., \t',
  '1 1/2',
  '0/0',
  '1/0',
  '9e999',
  '1e5',
  'mm',
  'cm',
  'm',
  'in',
  'ft',
  'kg',
  'lb',
  'deg',
  '"',
  "'",
  '″',
  '°',
  '−',
  '×',
  '·',
  '½',
  '٣',
  '\u00a0',
  '\u200b',
  'NaN',
  'Infinity',
  '0x1f',
  '__proto__',
  'constructor',
  '🙂',
  '9'.repeat(400),
]

it(
  `${COUNT} lines of anything: a finite number or none`,
  () => {
    const wrong: string[] = []
    let read = 0
    for (let seed = 1; seed <= COUNT; seed++) {
      const chance = random(seed)
      const line = Array.from({ length: 1 + chance.below(14) }, () => PIECES[chance.below(PIECES.length)]).join('')
      for (const [name, parse] of [
        ['length', parseLength],
        ['length in inches', (t: string) => parseLength(t, 'in')],
        ['angle', parseAngle],
        ['mass', parseMass],
        ['number', parsePlain],
      ] as const) {
        try {
          const value = parse(line)
          if (value !== null) read++
          if (value !== null && !Number.isFinite(value)) wrong.push(`seed ${seed}, ${name}: ${line} is ${value}`)
        } catch (error) {
          wrong.push(`seed ${seed}, ${name}: ${line}: ${error}`)
        }
      }
      if (wrong.length > 20) break
    }
    expect(wrong).toEqual([])
    expect(read).toBeGreaterThan(COUNT / 50)
  },
  LONG,
)

it.each(['(', '-', '1+(', '1*', '1-', '1 '])('a field filled with "%s" to the brim is no fault', (piece) => {
  for (const count of [100, 10_000, 200_000])
    expect([null, count].includes(parseLength(piece.repeat(count)))).toBe(true)
})

const UNITS: readonly (readonly [string, number])[] = [
  ['mm', 1],
  ['cm', 10],
  ['m', 1000],
  ['in', 25.4],
  ['"', 25.4],
  ['ft', 304.8],
]

/** A sum of lengths with what it comes to, mm: products with bare numbers, brackets, fractions, spaces anywhere. */
function sum(chance: Random, depth: number): { text: string; mm: number } {
  const space = () => ' '.repeat(chance.below(2))
  const what = depth === 0 ? 0 : chance.below(5)
  if (what === 0) {
    const [unit, mm] = UNITS[chance.below(UNITS.length)]!
    const whole = chance.below(100)
    if (chance.below(3) === 0) {
      const [top, bottom] = [1 + chance.below(15), 16]
      return { text: `${whole} ${top}/${bottom}${unit}`, mm: (whole + top / bottom) * mm }
    }
    const tenths = chance.below(10)
    return { text: `${whole}${chance.below(2) ? '.' : ','}${tenths}${space()}${unit}`, mm: (whole + tenths / 10) * mm }
  }
  const a = sum(chance, depth - 1)
  if (what === 1) return { text: `-(${space()}${a.text})`, mm: -a.mm }
  if (what === 2) {
    const by = 1 + chance.below(9)
    return chance.below(2)
      ? { text: `${by}${space()}*${space()}(${a.text})`, mm: by * a.mm }
      : { text: `(${a.text})${space()}/${space()}${by}`, mm: a.mm / by }
  }
  const b = sum(chance, depth - 1)
  return what === 3
    ? { text: `${a.text}${space()}+${space()}${b.text}`, mm: a.mm + b.mm }
    : { text: `${a.text} - (${b.text})`, mm: a.mm - b.mm }
}

it(
  `${COUNT} sums of lengths come to what they were made of`,
  () => {
    const wrong: string[] = []
    for (let seed = 1; seed <= COUNT && wrong.length < 20; seed++) {
      const { text, mm } = sum(random(seed), 4)
      for (const shown of ['mm', 'in'] as ShownUnit[]) {
        const value = parseLength(text, shown)
        if (value === null || Math.abs(value - mm) > 1e-9 * Math.max(1, Math.abs(mm)) * 100)
          wrong.push(`seed ${seed}: ${text} is ${mm}, read as ${value}`)
      }
    }
    expect(wrong).toEqual([])
  },
  LONG,
)

it(
  `${COUNT} settings: what the field shows is read back as itself`,
  () => {
    const wrong: string[] = []
    for (let seed = 1; seed <= COUNT && wrong.length < 20; seed++) {
      const mm = random(seed).between(-3000, 3000)
      for (const shown of ['mm', 'in'] as ShownUnit[]) {
        const read = parseLength(settingFigure(mm, shown).value, shown)
        const again = read === null ? null : parseLength(settingFigure(read, shown).value, shown)
        // What is shown is at most half of its last digit off, and reading it again moves it no further.
        if (read === null || Math.abs(read - mm) > 0.0013 || again === null || Math.abs(again - read) > 1e-9)
          wrong.push(`seed ${seed}: ${mm} mm, shown in ${shown}, is read as ${read}, then as ${again}`)
      }
    }
    expect(wrong).toEqual([])
  },
  LONG,
)
