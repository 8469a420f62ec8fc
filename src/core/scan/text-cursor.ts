/**
 * Reads words and numbers straight from the bytes of a text. (A string of the whole file would double its memory and ends
 * at half a gigabyte; split lines took ten times as long.)
 */
import { excerpt, refuse } from './raw-mesh'

const TAB = 9
const LF = 10
const CR = 13
const SPACE = 32
const COMMA = 44

export class TextCursor {
  at: number
  readonly bytes: Uint8Array
  end: number
  readonly name: string
  readonly #words = new Array<string | undefined>(64).fill(undefined)

  constructor(file: { readonly name: string; readonly bytes: Uint8Array }, at = 0, end = file.bytes.length) {
    this.bytes = file.bytes
    this.name = file.name
    this.at = at
    this.end = end
  }

  /** Past spaces, tabs and escaped line ends; stops at a line end. */
  skipBlanks(): void {
    const { bytes, end } = this
    let i = this.at
    while (i < end) {
      const c = bytes[i]!
      if (c === SPACE || c === TAB || c === 11 || c === 12) i++
      else if (c === 92 && (bytes[i + 1] === LF || bytes[i + 1] === CR)) {
        i += bytes[i + 1] === CR && bytes[i + 2] === LF ? 3 : 2
      } else break
    }
    this.at = i
  }

  /** Past all white space. */
  skipSpace(): void {
    const { bytes, end } = this
    let i = this.at
    while (i < end && (bytes[i]! <= SPACE || bytes[i] === 0xa0)) i++
    this.at = i
  }

  /** To the start of the next line. LF, CR LF and CR alone end a line. */
  skipLine(): void {
    const { bytes, end } = this
    let i = this.at
    while (i < end && bytes[i] !== LF && bytes[i] !== CR) i++
    if (i < end) i += bytes[i] === CR && bytes[i + 1] === LF ? 2 : 1
    this.at = i
  }

  atLineEnd(): boolean {
    return this.at >= this.end || this.bytes[this.at] === LF || this.bytes[this.at] === CR
  }

  /** The next word in lower case, or '' at the end of the line. Long words are cut: no keyword has more than 24 letters. */
  word(): string {
    this.skipBlanks()
    const { bytes, end } = this
    const from = this.at
    let i = from
    while (i < end && bytes[i]! > SPACE) i++
    this.at = i
    if (i === from) return ''
    const length = Math.min(24, i - from)
    // The same few keywords come millions of times: the last word of each slot is kept and compared, not built again.
    const slot = (length * 5 + bytes[from]! + bytes[from + length - 1]! * 3) & 63
    const known = this.#words[slot]
    if (known !== undefined && known.length === length) {
      let k = 0
      while (k < length && known.charCodeAt(k) === lower(bytes[from + k]!)) k++
      if (k === length) return known
    }
    let out = ''
    for (let k = 0; k < length; k++) out += String.fromCharCode(lower(bytes[from + k]!))
    this.#words[slot] = out
    return out
  }

  /**
   * The next number of this line: 1, −.5, 1., 1e-3, 1E+03. Not-a-number and infinity in the spellings of common programs
   * give NaN.
   *
   * Up to 15 digits and powers of ten up to 22 are exact by one multiplication or division of exact numbers (W. D. Clinger,
   * "How to read floating point numbers accurately", PLDI 1990); longer ones go through the language's own parser.
   *
   * @throws Refused with the line, and by name if the number has a decimal comma
   */
  number(): number {
    this.skipBlanks()
    const { bytes, end } = this
    const from = this.at
    let i = from
    let c = i < end ? bytes[i]! : LF
    const negative = c === 45
    if (negative || c === 43) c = ++i < end ? bytes[i]! : LF
    let mantissa = 0
    let digits = 0
    let power = 0
    let seen = false
    while (c >= 48 && c <= 57) {
      seen = true
      if (digits < 16) {
        mantissa = mantissa * 10 + (c - 48)
        if (mantissa > 0) digits++
      } else {
        digits++
        power++
      }
      c = ++i < end ? bytes[i]! : LF
    }
    if (c === 46) {
      c = ++i < end ? bytes[i]! : LF
      while (c >= 48 && c <= 57) {
        seen = true
        if (digits < 16) {
          mantissa = mantissa * 10 + (c - 48)
          if (mantissa > 0) digits++
          power--
        } else digits++
        c = ++i < end ? bytes[i]! : LF
      }
    }
    if (seen && (c === 101 || c === 69)) {
      c = ++i < end ? bytes[i]! : LF
      const down = c === 45
      if (down || c === 43) c = ++i < end ? bytes[i]! : LF
      let e = 0
      seen = false
      while (c >= 48 && c <= 57) {
        seen = true
        if (e < 10000) e = e * 10 + (c - 48)
        c = ++i < end ? bytes[i]! : LF
      }
      power += down ? -e : e
    }
    if (!seen || (c > SPACE && c !== 0xa0)) return this.#oddNumber(from)
    this.at = i
    let value: number
    if (digits <= 15 && power >= -22 && power <= 22)
      value = power < 0 ? mantissa / POWERS[-power]! : mantissa * POWERS[power]!
    else value = Math.abs(Number(text(bytes, from, i)))
    return negative ? -value : value
  }

  /** The number between here and `to`, and nothing else but white space. @throws Refused */
  numberWithin(to: number): number {
    const { end } = this
    this.end = to
    const value = this.number()
    this.skipSpace()
    if (this.at < to) this.refuseHere('has more than a number where one should stand')
    this.end = end
    return value
  }

  /** The next whole number of this line, with sign. @throws Refused */
  integer(): number {
    const value = this.number()
    if (!Number.isInteger(value)) this.refuseHere('has a number that should be whole')
    return value
  }

  #oddNumber(from: number): number {
    let to = from
    while (to < this.end && this.bytes[to]! > SPACE) to++
    const word = text(this.bytes, from, Math.min(to, from + 40)).toLowerCase()
    if (/^[+-]?(nan|inf|infinity|nan\(.*\)|\d\.#(qnan|snan|ind|inf)\d*)$/.test(word)) {
      this.at = to
      return Number.NaN
    }
    this.at = from
    if (to === from) this.refuseHere('has a line with too few numbers', from > 0 ? from - 1 : 0)
    if (/^[+-]?\d+,\d+/.test(word) && this.bytes.indexOf(COMMA, from) < to)
      return this.refuseHere(
        `has a decimal comma ("${excerpt(this.bytes, from, to)}")`,
        from,
        'export it with decimal points',
      )
    return this.refuseHere(`has "${excerpt(this.bytes, from, to)}" where a number should stand`)
  }

  /** Number of the line that byte `at` is on, from 1. Counted only when somebody asks. */
  lineAt(at = this.at): number {
    let line = 1
    for (let i = 0; i < at && i < this.end; i++) {
      const c = this.bytes[i]
      if (c === LF || (c === CR && this.bytes[i + 1] !== LF)) line++
    }
    return line
  }

  /** @throws Refused `file-damaged` with the line and what to do */
  refuseHere(what: string, at = this.at, advice = 'export it again'): never {
    return refuse('file-damaged', this, `${what} in line ${this.lineAt(at)}; ${advice}.`)
  }
}

const lower = (c: number): number => (c >= 65 && c <= 90 ? c + 32 : c)

const POWERS = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`))

export function text(bytes: Uint8Array, from: number, to: number): string {
  let out = ''
  for (let i = from; i < to; i++) out += String.fromCharCode(bytes[i]!)
  return out
}
