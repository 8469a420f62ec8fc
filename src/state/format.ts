/**
 * Numbers as people read and type them. Underneath everything stays millimetres, mm², degrees and kilograms in double; only
 * the text is rounded, and where a figure decides something it is rounded against itself (`round: 'down'` for a gap that
 * must be large enough), so that 11.96 mm never reads as the 12.0 mm that was asked.
 */

export type ShownUnit = 'mm' | 'in'

/** A number and its unit apart: the page sets the unit smaller and greyer. */
export interface Figure {
  readonly value: string
  readonly unit: string
}

export interface FigureOptions {
  /** Digits after the point; default: two below 1, one below 100, none from there on. Fractions of an inch ignore it. */
  readonly digits?: number
  /** `near` (default), or against the figure's own favour. */
  readonly round?: 'near' | 'down' | 'up'
}

const MM_PER_INCH = 25.4
const MINUS = '−'
/** Below a sixteenth of an inch fractions of 64 are too coarse to tell anything: thousandths instead. */
const LEAST_FRACTION_MM = MM_PER_INCH / 16

/** @example lengthFigure(12.64, 'mm') // { value: '12.6', unit: 'mm' } */
export function lengthFigure(mm: number, unit: ShownUnit, options: FigureOptions = {}): Figure {
  if (!Number.isFinite(mm)) return { value: '–', unit }
  if (unit === 'mm') return { value: decimals(mm, options.digits ?? usualDigits(mm), options.round), unit }
  if (Math.abs(mm) < LEAST_FRACTION_MM) return { value: decimals(mm / MM_PER_INCH, 3, options.round), unit }
  return { value: fractionText(rounded((mm / MM_PER_INCH) * 64, 0, options.round)), unit }
}

/** @example lengthText(38.1, 'in') // '1 1/2 in' */
export function lengthText(mm: number, unit: ShownUnit, digits?: number, round?: FigureOptions['round']): string {
  return joined(lengthFigure(mm, unit, { ...(digits === undefined ? {} : { digits }), ...(round ? { round } : {}) }))
}

/**
 * What a field shows: the length as it was set, without trailing noughts; in inches a fraction where it is one (within
 * 0.5 µm), else decimals.
 */
export function settingFigure(mm: number, unit: ShownUnit): Figure {
  if (unit === 'mm') return { value: trimmed(mm, 3), unit }
  const of64 = Math.round((mm / MM_PER_INCH) * 64)
  if (Math.abs((of64 * MM_PER_INCH) / 64 - mm) <= 0.0005) return { value: fractionText(of64), unit }
  return { value: trimmed(mm / MM_PER_INCH, 4), unit }
}

export const settingText = (mm: number, unit: ShownUnit): string => joined(settingFigure(mm, unit))

/** cm² below 1 m², then m²; in² below 10 ft², then ft². An area that is there never reads as 0. */
export function areaFigure(mm2: number, unit: ShownUnit = 'mm', options: FigureOptions = {}): Figure {
  if (!Number.isFinite(mm2)) return { value: '–', unit: unit === 'mm' ? 'cm²' : 'in²' }
  const [small, large, smallUnit, largeUnit, change] =
    unit === 'mm' ? [100, 1e6, 'cm²', 'm²', 1e6] : [645.16, 92903.04, 'in²', 'ft²', 929030.4]
  const inLarge = Math.abs(mm2) >= change
  const v = mm2 / (inLarge ? large : small)
  const digits = options.digits ?? (inLarge ? (Math.abs(v) < 10 ? 2 : 1) : Math.abs(v) < 10 && v !== 0 ? 1 : 0)
  if (v > 0 && v < 0.1 && !inLarge && options.digits === undefined) return { value: 'under 0.1', unit: smallUnit }
  return { value: decimals(v, digits, options.round), unit: inLarge ? largeUnit : smallUnit }
}

/** @example areaText(6_070_000) // '6.07 m²' */
export const areaText = (mm2: number, unit: ShownUnit = 'mm'): string => joined(areaFigure(mm2, unit))

/** @example angleText(-2.44) // '−2.4°' */
export const angleText = (deg: number, digits = 1, round?: FigureOptions['round']): string =>
  Number.isFinite(deg) ? `${decimals(deg, digits, round)}°` : '–'

/** Kilograms from 1 kg, grams below; pounds with inches. */
export function massFigure(kg: number, unit: ShownUnit = 'mm'): Figure {
  if (!Number.isFinite(kg)) return { value: '–', unit: unit === 'mm' ? 'kg' : 'lb' }
  if (unit === 'in') return { value: decimals(kg / 0.45359237, 1), unit: 'lb' }
  return Math.abs(kg) < 1 && kg !== 0
    ? { value: decimals(kg * 1000, 0), unit: 'g' }
    : { value: decimals(kg, 1), unit: 'kg' }
}

export const massText = (kg: number, unit: ShownUnit = 'mm'): string => joined(massFigure(kg, unit))

/** Counts as said in a shop: 1.02 M, 48.2 k, 812. */
export function countText(n: number): string {
  if (n >= 999_500) return `${decimals(n / 1e6, 2)} M`
  if (n >= 10_000) return `${decimals(n / 1000, n < 99_950 ? 1 : 0)} k`
  return decimals(n, 0)
}

/** @example numberText(-2.5, 1) // '−2.5' with a minus sign, not a hyphen */
export const numberText = (v: number, digits: number): string => decimals(v, digits)

/** Up to `most` digits, none that say nothing: 12, 12.5, 0.472. */
export function trimmed(v: number, most: number): string {
  return signed(Number(v.toFixed(most)), (a) => String(a))
}

const joined = ({ value, unit }: Figure): string => `${value} ${unit}`

const usualDigits = (v: number): number => {
  const a = Math.abs(v)
  if (a === 0) return 0
  return a < 0.995 ? 2 : a < 99.95 ? 1 : 0
}

const signed = (v: number, text: (positive: number) => string): string => {
  const shown = text(Math.abs(v))
  return v < 0 && /[1-9]/.test(shown) ? MINUS + shown : shown
}

const decimals = (v: number, digits: number, round: FigureOptions['round'] = 'near'): string =>
  signed(rounded(v, digits, round), (a) => a.toFixed(digits))

/** The slack keeps 12.6 (12.599999…) at 12.6 when rounding down. */
function rounded(v: number, digits: number, round: FigureOptions['round'] = 'near'): number {
  const scale = 10 ** digits
  if (round === 'down') return Math.floor(v * scale + 1e-7) / scale
  if (round === 'up') return Math.ceil(v * scale - 1e-7) / scale
  return Math.round(v * scale) / scale
}

function fractionText(of64: number): string {
  return signed(of64, (n) => {
    const whole = Math.floor(n / 64)
    let top = n % 64
    let bottom = 64
    if (top === 0) return String(whole)
    while (top % 2 === 0) {
      top /= 2
      bottom /= 2
    }
    return whole === 0 ? `${top}/${bottom}` : `${whole} ${top}/${bottom}`
  })
}

const MM_OF = {
  mm: 1,
  cm: 10,
  m: 1000,
  in: 25.4,
  inch: 25.4,
  inches: 25.4,
  '"': 25.4,
  '″': 25.4,
  ft: 304.8,
  "'": 304.8,
}
const DEG_OF = { '°': 1, deg: 1 }
const KG_OF = { kg: 1, g: 0.001, lb: 0.45359237 }

/**
 * What a person types for a length, in millimetres, or null where it cannot be read. Sums, products, brackets, mixed
 * fractions and units may be joined; a number without a unit is in the unit that is shown.
 *
 * @example parseLength('1 1/2in') // 38.1
 * @example parseLength('3*12') // 36
 * @example parseLength('2ft 3in', 'in') // 685.8
 */
export const parseLength = (text: string, shown: ShownUnit = 'mm'): number | null =>
  // In inches 1-1/2 is how the trade writes one and a half, never a half.
  parseQuantity(text.replace(/(\d)-(\d+\/\d+\s*(?:in|"|″))/gi, '$1 $2'), MM_OF, shown === 'in' ? 25.4 : 1)

export const parseAngle = (text: string): number | null => parseQuantity(text, DEG_OF, 1)

export const parseMass = (text: string, shown: ShownUnit = 'mm'): number | null =>
  parseQuantity(text, KG_OF, shown === 'in' ? 0.45359237 : 1)

/** A bare number: sums and products, no unit. */
export const parsePlain = (text: string): number | null => parseQuantity(text, {}, 1)

/** A value and its power of the unit: 0 for a bare number, 1 for a length. */
interface Measured {
  readonly v: number
  readonly power: number
}

class Unreadable extends Error {}

/** Nobody types more; what was pasted by mistake must not run the reading, which calls itself at every bracket, out of stack. */
const MOST_TOKENS = 400

function parseQuantity(text: string, units: Readonly<Record<string, number>>, plain: number): number | null {
  const tokens = tokensOf(text)
  if (!tokens || tokens.length === 0 || tokens.length > MOST_TOKENS) return null
  let at = 0
  const isNumber = (t: string | undefined) => t !== undefined && /^[\d.]/.test(t)
  const asUnit = (m: Measured): number => {
    if (m.power === 0) return m.v * plain
    if (m.power === 1) return m.v
    throw new Unreadable()
  }
  const sum = (a: Measured, b: Measured, sign: number): Measured =>
    a.power === 0 && b.power === 0 ? { v: a.v + sign * b.v, power: 0 } : { v: asUnit(a) + sign * asUnit(b), power: 1 }

  const expression = (): Measured => {
    let left = term()
    for (;;) {
      const t = tokens[at]
      if (t === '+' || t === '-') {
        at++
        left = sum(left, term(), t === '+' ? 1 : -1)
        // "2ft 3in": a number straight after a length is added to it.
      } else if (isNumber(t) && left.power === 1) left = sum(left, term(), 1)
      else return left
    }
  }
  const term = (): Measured => {
    let left = factor()
    for (;;) {
      const t = tokens[at]
      if (t !== '*' && t !== '/') return left
      at++
      const right = factor()
      left =
        t === '*'
          ? { v: left.v * right.v, power: left.power + right.power }
          : { v: left.v / right.v, power: left.power - right.power }
    }
  }
  const factor = (): Measured => {
    const t = tokens[at++]
    if (t === '-') {
      const m = factor()
      return { ...m, v: -m.v }
    }
    let m: Measured
    if (t === '(') {
      m = expression()
      if (tokens[at++] !== ')') throw new Unreadable()
    } else if (isNumber(t)) m = { v: numberOf(t!), power: 0 }
    else throw new Unreadable()
    const unit = tokens[at] === undefined ? undefined : units[tokens[at]!]
    if (unit === undefined) return m
    at++
    if (m.power !== 0) throw new Unreadable()
    return { v: m.v * unit, power: 1 }
  }

  try {
    const v = asUnit(expression())
    return at === tokens.length && Number.isFinite(v) ? v : null
  } catch (error) {
    if (error instanceof Unreadable) return null
    throw error
  }
}

/** Mixed fractions and plain fractions are one token each, so that 1/2in is half an inch and not one over two inches. */
const TOKEN = /\s*(\d+\s+\d+\s*\/\s*\d+|\d+\s*\/\s*\d+(?![\d.,])|\d*[.,]?\d+|\d+[.,]|[a-z]+|[-+*/()'"″°])/y

function tokensOf(text: string): string[] | null {
  const clean = text.trim().toLowerCase().replaceAll(MINUS, '-').replaceAll('×', '*').replaceAll('·', '*')
  const tokens: string[] = []
  TOKEN.lastIndex = 0
  while (TOKEN.lastIndex < clean.length) {
    const match = TOKEN.exec(clean)
    if (!match) return null
    tokens.push(match[1]!)
  }
  return tokens
}

function numberOf(token: string): number {
  const mixed = /^(?:(\d+)\s+)?(\d+)\s*\/\s*(\d+)$/.exec(token)
  if (mixed) return Number(mixed[1] ?? 0) + Number(mixed[2]) / Number(mixed[3])
  return Number(token.replace(',', '.'))
}
