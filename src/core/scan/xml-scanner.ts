/**
 * A small strict scanner for the XML of model files, straight over the bytes: tags and attributes, nothing else. It knows no
 * document types and resolves no entities but the five built in, so nothing can be made to grow by them.
 */
import { refuse } from './raw-mesh'
import { TextCursor, text } from './text-cursor'

const LT = 60
const GT = 62
const SLASH = 47

export interface Tag {
  /** Without its prefix. */
  readonly name: string
  readonly kind: 'open' | 'close'
  /** `<a/>`: a `close` of its own does not follow. */
  readonly empty: boolean
}

export class XmlScanner {
  readonly bytes: Uint8Array
  readonly file: { readonly name: string; readonly bytes: Uint8Array }
  at = 0
  depth = 0
  /** Places of the attributes of the tag just read: name from, to, value from, to. */
  #places = new Int32Array(4 * 64)
  #count = 0
  #cursor: TextCursor
  #names = new Map<number, { bytes: Uint8Array; name: string }>()

  constructor(file: { readonly name: string; readonly bytes: Uint8Array }) {
    this.file = file
    this.bytes = file.bytes
    this.#cursor = new TextCursor(file)
  }

  /** The next tag, or `null` at the end. Text, comments and instructions are passed over. @throws Refused `file-damaged` */
  next(): Tag | null {
    const { bytes } = this
    for (;;) {
      const at = bytes.indexOf(LT, this.at)
      if (at < 0) {
        if (this.depth > 0) this.damaged('ends inside an element: it was cut off')
        return null
      }
      const c = bytes[at + 1]
      if (c === 33) {
        // <!-- … --> and <![CDATA[ … ]]>; a document type is refused: no model file has one.
        if (bytes[at + 2] === 45) this.at = this.#past('-->', at + 4)
        else if (bytes[at + 2] === 91) this.at = this.#past(']]>', at + 3)
        else this.damaged('declares a document type, which model files must not', at)
      } else if (c === 63) this.at = this.#past('?>', at + 2)
      else return this.#tag(at)
    }
  }

  /** Value of an attribute of the last tag (name without prefix), or `null`. */
  attribute(name: string): string | null {
    const i = this.#find(name)
    if (i < 0) return null
    const value = new TextDecoder().decode(this.bytes.subarray(this.#places[i + 2]!, this.#places[i + 3]!))
    return value.includes('&')
      ? value.replace(/&(lt|gt|amp|quot|apos);/g, (_, e: keyof typeof ENTITIES) => ENTITIES[e])
      : value
  }

  /** A number in an attribute. @throws Refused `file-damaged` if it is missing or no number */
  number(name: string): number {
    const i = this.#find(name)
    if (i < 0) return this.damaged(`has an element without "${name}"`)
    const to = this.#places[i + 3]!
    const cursor = this.#cursor
    cursor.at = this.#places[i + 2]!
    // The closing quote would read as a part of the number: the cursor is shown the value only.
    return cursor.numberWithin(to)
  }

  damaged(what: string, at = this.at): never {
    this.#cursor.at = at
    return refuse('file-damaged', this.file, `${what} (line ${this.#cursor.lineAt(at)}); export it again.`)
  }

  #tag(start: number): Tag {
    const { bytes } = this
    let i = start + 1
    const closing = bytes[i] === SLASH
    if (closing) i++
    let from = i
    while (i < bytes.length && isName(bytes[i]!)) {
      if (bytes[i] === 58) from = i + 1 // behind the prefix
      i++
    }
    if (i === from) this.damaged('has a tag without a name', start)
    const name = this.#name(from, i)
    this.#count = 0
    for (;;) {
      while (bytes[i]! <= 32) i++
      if (i >= bytes.length) return this.damaged('ends inside a tag: it was cut off', bytes.length)
      const c = bytes[i]!
      if (c === GT) {
        i++
        this.#step(closing ? -1 : 1, start)
        this.at = i
        return { name, kind: closing ? 'close' : 'open', empty: false }
      }
      if (c === SLASH && bytes[i + 1] === GT && !closing) {
        this.at = i + 2
        return { name, kind: 'open', empty: true }
      }
      if (closing) this.damaged('has a closing tag with something in it', start)
      i = this.#attribute(i, start)
    }
  }

  #attribute(i: number, start: number): number {
    const { bytes } = this
    let nameFrom = i
    while (i < bytes.length && isName(bytes[i]!)) {
      if (bytes[i] === 58) nameFrom = i + 1
      i++
    }
    const nameTo = i
    while (bytes[i]! <= 32) i++
    if (nameTo === nameFrom || bytes[i] !== 61) this.damaged('has a tag that cannot be read', start)
    i++
    while (bytes[i]! <= 32) i++
    const quote = bytes[i]
    if (quote !== 34 && quote !== 39) this.damaged('has an attribute without quotes', start)
    const to = bytes.indexOf(quote!, i + 1)
    if (to < 0) this.damaged('ends inside an attribute: it was cut off', bytes.length)
    if (this.#count >= 64) this.damaged('has a tag with more than 64 attributes', start)
    this.#places.set([nameFrom, nameTo, i + 1, to], this.#count * 4)
    this.#count++
    return to + 1
  }

  #step(by: 1 | -1, at: number): void {
    this.depth += by
    if (this.depth < 0) this.damaged('closes an element that was never opened', at)
    if (this.depth > 1000) this.damaged('nests its elements more than 1000 deep', at)
  }

  #past(what: string, from: number): number {
    for (let i = from; ; i++) {
      i = this.bytes.indexOf(what.charCodeAt(0), i)
      if (i < 0) return this.damaged('ends inside a comment: it was cut off', this.bytes.length)
      if (text(this.bytes, i, i + what.length) === what) return i + what.length
    }
  }

  #find(name: string): number {
    for (let a = 0; a < this.#count; a++) {
      const from = this.#places[a * 4]!
      if (this.#places[a * 4 + 1]! - from !== name.length) continue
      let k = 0
      while (k < name.length && this.bytes[from + k] === name.charCodeAt(k)) k++
      if (k === name.length) return a * 4
    }
    return -1
  }

  /** Millions of tags carry the same few names: each is decoded once. */
  #name(from: number, to: number): string {
    const key = (to - from) * 65536 + this.bytes[from]! * 256 + this.bytes[to - 1]!
    const known = this.#names.get(key)
    if (known) {
      let k = 0
      while (k < known.bytes.length && this.bytes[from + k] === known.bytes[k]) k++
      if (k === known.bytes.length) return known.name
    }
    const bytes = this.bytes.slice(from, to)
    const name = text(bytes, 0, bytes.length)
    this.#names.set(key, { bytes, name })
    return name
  }
}

const ENTITIES = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" } as const

const isName = (c: number): boolean =>
  (c >= 97 && c <= 122) || (c >= 65 && c <= 90) || (c >= 48 && c <= 58) || c === 45 || c === 95 || c === 46 || c > 127
