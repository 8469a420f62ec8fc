/**
 * Lays the blocks of the report on A4 pages. All text is text, all pictures are lines; the same blocks and fonts give the
 * same bytes: no date, no random name, numbers from the fonts' own tables.
 */
import fontkit from '@pdf-lib/fontkit'
import {
  clip,
  closePath,
  concatTransformationMatrix,
  endPath,
  fill,
  lineTo,
  moveTo,
  PDFDocument,
  type PDFFont,
  PDFOperator,
  PDFOperatorNames,
  type PDFPage,
  popGraphicsState,
  pushGraphicsState,
  rgb,
  setDashPattern,
  setFillingColor,
  setLineWidth,
  setStrokingColor,
  stroke,
} from 'pdf-lib'
import type { Drawing, Shape } from '../core/release/drawing/drawing'
import type { Block, Cell, TableBlock } from '../core/release/report-block'

export interface Fonts {
  /** TrueType files. */
  readonly regular: Uint8Array
  readonly bold: Uint8Array
}

export interface PdfWords {
  readonly title: string
  /** Under the title, and at the foot of every page. */
  readonly subtitle: string
  readonly footer: string
  readonly program: string
}

/** Points per millimetre. */
const PT = 72 / 25.4
const PAGE = { wide: 210 * PT, high: 297 * PT, left: 16 * PT, right: 16 * PT, top: 16 * PT, foot: 18 * PT }
const INNER = PAGE.wide - PAGE.left - PAGE.right
const SIZE = 8.5
const LEADING = 1.32
const CELL_GAP = 6

const ink = (hex: string) =>
  rgb(...([1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255) as [number, number, number]))
const DARK = ink('#1e2428')
const QUIET = ink('#565b5c')
const BLUE = ink('#1b5a94')
const LEAD = ink('#b0381a')
const RULE = ink('#cfc8b9')

interface Face {
  readonly font: PDFFont
  readonly known: ReadonlySet<number>
  /** Width of a text, points at size 1000. */
  readonly width: (text: string) => number
}

/** Plain letters, figures and signs: set one by one, without joining or moving each other. */
const PLAIN = /^[\x20-\x7e]*$/

/**
 * Widths summed from the characters' own, in the order and precision of the library, which lays out the whole text each time:
 * to wrap the lists of a pack took half of the time of its report. Other characters than `PLAIN` may join, and are laid out.
 */
function widths(font: PDFFont): Face['width'] {
  const own = new Map<string, number>()
  const laidOut = (text: string) => font.widthOfTextAtSize(text, 1000)
  return (text) => {
    if (!PLAIN.test(text)) return laidOut(text)
    let sum = 0
    for (const character of text) {
      let width = own.get(character)
      if (width === undefined) {
        width = laidOut(character)
        own.set(character, width)
      }
      sum += width
    }
    return sum
  }
}

export async function writePdf(blocks: readonly Block[], words: PdfWords, fonts: Fonts): Promise<Uint8Array> {
  const doc = await PDFDocument.create({ updateMetadata: false })
  doc.registerFontkit(fontkit)
  doc.setTitle(words.title)
  doc.setCreator(words.program)
  doc.setProducer(words.program)
  doc.setLanguage('en')
  // Ligatures would be read back as other characters than were written.
  const options = { subset: true, features: { liga: false, kern: false, dlig: false, clig: false } }
  const face = async (bytes: Uint8Array): Promise<Face> => {
    const font = await doc.embedFont(bytes, options)
    return { font, known: new Set(font.getCharacterSet()), width: widths(font) }
  }
  const layout = new Layout(doc, await face(fonts.regular), await face(fonts.bold))
  layout.title(words.title, words.subtitle)
  for (const [i, block] of blocks.entries()) layout.block(block, blocks[i + 1])
  layout.footers(words.footer)
  return doc.save({ useObjectStreams: true, addDefaultPage: false, updateFieldAppearances: false })
}

/** Characters of a text that a font cannot draw are written as a question mark, never as an empty box. */
const drawable = (text: string, { known }: Face): string =>
  [...text.replace(/\s/gu, ' ')].map((c) => (known.has(c.codePointAt(0)!) ? c : '?')).join('')

/** The pen on the pages: where the next line goes. */
class Layout {
  private readonly doc: PDFDocument
  private readonly regular: Face
  private readonly bold: Face
  private page: PDFPage
  private y = 0

  constructor(doc: PDFDocument, regular: Face, bold: Face) {
    this.doc = doc
    this.regular = regular
    this.bold = bold
    this.page = this.newPage()
  }

  private newPage(): PDFPage {
    this.page = this.doc.addPage([PAGE.wide, PAGE.high])
    this.y = PAGE.high - PAGE.top
    return this.page
  }

  private room(need: number): void {
    if (this.y - need < PAGE.foot) this.newPage()
  }

  private write(text: string, x: number, y: number, size: number, face: Face, colour = DARK): void {
    if (text !== '') this.page.drawText(text, { x, y, size, font: face.font, color: colour })
  }

  private wrapped(text: string, wide: number, size: number, face: Face): string[] {
    const lines: string[] = []
    let line = ''
    const width = (t: string) => widthAt(face, t, size)
    for (const word of drawable(text, face).split(' ')) {
      const longer = line === '' ? word : `${line} ${word}`
      if (width(longer) <= wide) {
        line = longer
        continue
      }
      if (line !== '') lines.push(line)
      line = word
      // A word wider than its column (a hash, a path) is broken where it must be.
      while (width(line) > wide && line.length > 1) {
        let n = line.length - 1
        while (n > 1 && width(line.slice(0, n)) > wide) n--
        lines.push(line.slice(0, n))
        line = line.slice(n)
      }
    }
    if (line !== '') lines.push(line)
    return lines
  }

  title(title: string, subtitle: string): void {
    for (const line of this.wrapped(title, INNER, 20, this.bold)) {
      this.y -= 22
      this.write(line, PAGE.left, this.y, 20, this.bold)
    }
    this.y -= 4
    this.paragraph(subtitle, SIZE, this.regular, QUIET)
    this.y -= 6
  }

  private paragraph(text: string, size: number, face: Face, colour = DARK): void {
    for (const line of this.wrapped(text, INNER, size, face)) {
      this.room(size * LEADING)
      this.y -= size * LEADING
      this.write(line, PAGE.left, this.y, size, face, colour)
    }
  }

  block(block: Block, next: Block | undefined): void {
    switch (block.kind) {
      case 'heading': {
        // A heading never stands alone at the foot of a page.
        if (block.newPage && this.y < PAGE.high - PAGE.top - 1) this.newPage()
        this.room(30 + need(next))
        this.y -= 26
        this.write(drawable(block.text, this.bold), PAGE.left, this.y, 14, this.bold)
        this.y -= 5
        this.rule(BLUE, 1.2)
        this.y -= 4
        return
      }
      case 'sub':
        this.room(18 + need(next))
        this.y -= 17
        this.write(drawable(block.text, this.bold), PAGE.left, this.y, 10, this.bold)
        this.y -= 2
        return
      case 'text':
        this.y -= 3
        this.paragraph(
          block.text,
          block.small ? 7.5 : SIZE,
          block.bold ? this.bold : this.regular,
          block.bad ? LEAD : block.small ? QUIET : DARK,
        )
        return
      case 'table':
        this.table(block)
        return
      case 'drawings':
        this.drawings(block.drawings)
    }
  }

  private rule(colour: ReturnType<typeof rgb>, thickness: number): void {
    this.page.drawLine({
      start: { x: PAGE.left, y: this.y },
      end: { x: PAGE.wide - PAGE.right, y: this.y },
      thickness,
      color: colour,
    })
  }

  private table(table: TableBlock): void {
    const size = table.small ? 7 : SIZE
    const total = table.widths.reduce((a, b) => a + b, 0)
    const wide = table.widths.map((w) => (w / total) * INNER)
    const left = wide.map((_, i) => PAGE.left + wide.slice(0, i).reduce((a, b) => a + b, 0))
    const row = (cells: readonly Cell[], face: Face, colour: typeof DARK) => {
      const set = cells.map((cell, i) => {
        const isBad = typeof cell !== 'string' && cell.bad
        const f = isBad ? this.bold : face
        const text = typeof cell === 'string' ? cell : cell.text
        return { lines: this.wrapped(text, wide[i]! - CELL_GAP, size, f), face: f, colour: isBad ? LEAD : colour }
      })
      const lines = Math.max(1, ...set.map((c) => c.lines.length))
      const high = lines * size * LEADING + 5
      if (this.y - high < PAGE.foot) {
        this.newPage()
        if (table.head && face !== this.bold) head()
      }
      for (const [i, cell] of set.entries())
        for (const [k, text] of cell.lines.entries()) {
          const right = table.figures.includes(i)
          const x = right ? left[i]! + wide[i]! - CELL_GAP - widthAt(cell.face, text, size) : left[i]!
          this.write(text, x, this.y - (k + 1) * size * LEADING, size, cell.face, cell.colour)
        }
      this.y -= high
      this.rule(RULE, 0.4)
    }
    const head = () => {
      if (table.head) row(table.head, this.bold, QUIET)
    }
    this.y -= 3
    head()
    for (const cells of table.rows) row(cells, this.regular, DARK)
    this.y -= 4
  }

  /** Side by side, scaled down together where they would not fit. */
  private drawings(all: readonly Drawing[]): void {
    if (all.length === 0) return
    const natural = all.map((d) => ({
      wide: round((d.box.x1 - d.box.x0) * d.scale * PT),
      high: round((d.box.y1 - d.box.y0) * d.scale * PT),
    }))
    const gap = 10
    const sum = natural.reduce((s, n) => s + n.wide, 0)
    const shrink = Math.min(1, factor((INNER - gap * (all.length - 1)) / sum))
    const high = Math.max(...natural.map((n) => n.high)) * shrink
    this.room(high + 16)
    let x = PAGE.left
    for (const [i, drawing] of all.entries()) {
      const { wide } = natural[i]!
      const title =
        this.wrapped(drawing.title, Math.max(wide * shrink, INNER / all.length - gap), SIZE, this.bold)[0] ?? ''
      this.write(title, x, this.y - 12, SIZE, this.bold, QUIET)
      this.picture(drawing, x, this.y - 16, shrink)
      x += Math.max(wide * shrink, INNER / all.length - gap / 2) + gap
    }
    this.y -= high + 20
  }

  private picture(drawing: Drawing, x0: number, top: number, shrink: number): void {
    const k = factor(PT * shrink)
    const scale = factor(drawing.scale * k)
    const px = (x: number) => round(x0 + (x - drawing.box.x0) * scale)
    const py = (y: number) => round(top - (drawing.box.y1 - y) * scale)
    const wide = round((drawing.box.x1 - drawing.box.x0) * scale)
    const high = round((drawing.box.y1 - drawing.box.y0) * scale)
    const { page } = this
    page.pushOperators(
      pushGraphicsState(),
      moveTo(x0, top),
      lineTo(x0 + wide, top),
      lineTo(x0 + wide, top - high),
      lineTo(x0, top - high),
      closePath(),
      clip(),
      endPath(),
    )
    // Path by path: a map of many thousand pieces handed over as arguments of one call would overflow the stack.
    for (const shape of drawing.shapes)
      if (shape.kind === 'path') for (const op of pathOps(shape, px, py, k)) page.pushOperators(op)
    page.pushOperators(popGraphicsState())
    for (const shape of drawing.shapes) if (shape.kind === 'text') this.letters(shape, px, py, k)
  }

  private letters(
    shape: Extract<Shape, { kind: 'text' }>,
    px: (x: number) => number,
    py: (y: number) => number,
    k: number,
  ): void {
    const face = shape.bold ? this.bold : this.regular
    const text = drawable(shape.text, face)
    // Small enough to be drawn small, never too small to be read.
    const size = Math.max(5, round(shape.size * 1.15 * k))
    const wide = widthAt(face, text, size)
    const back = shape.anchor === 'middle' ? wide / 2 : shape.anchor === 'end' ? wide : 0
    const [x, y] = [px(shape.at[0]), py(shape.at[1])]
    const colour = ink(shape.ink ?? '#1e2428')
    if (!shape.turned) {
      this.write(text, round(x - back), y, size, face, colour)
      return
    }
    this.page.pushOperators(pushGraphicsState(), concatTransformationMatrix(0, 1, -1, 0, x, y))
    this.write(text, round(-back), 0, size, face, colour)
    this.page.pushOperators(popGraphicsState())
  }

  footers(text: string): void {
    const pages = this.doc.getPages()
    for (const [i, page] of pages.entries()) {
      this.page = page
      this.write(drawable(text, this.regular), PAGE.left, 9 * PT, 7, this.regular, QUIET)
      const number = `${i + 1} / ${pages.length}`
      this.write(number, PAGE.wide - PAGE.right - widthAt(this.regular, number, 7), 9 * PT, 7, this.regular, QUIET)
    }
  }
}

/** Points. */
const widthAt = (face: Face, text: string, size: number): number => face.width(text) * (size / 1000)

/** Room that should be left under a heading for what follows. */
function need(next: Block | undefined): number {
  if (next?.kind === 'drawings')
    return Math.max(0, ...next.drawings.map((d) => (d.box.y1 - d.box.y0) * d.scale * PT)) * 0.9
  return next?.kind === 'table' ? 60 : 30
}

function pathOps(
  shape: Extract<Shape, { kind: 'path' }>,
  px: (x: number) => number,
  py: (y: number) => number,
  k: number,
): PDFOperator[] {
  const ops: PDFOperator[] = []
  const trace = () => {
    for (const part of shape.parts) {
      const [first, ...rest] = part
      if (!first || rest.length === 0) continue
      ops.push(moveTo(px(first[0]), py(first[1])))
      for (const [x, y] of rest) ops.push(lineTo(px(x), py(y)))
      if (shape.closed) ops.push(closePath())
    }
  }
  if (shape.fill) {
    ops.push(setFillingColor(ink(shape.fill)))
    trace()
    ops.push(shape.parts.length > 1 ? PDFOperator.of(PDFOperatorNames.FillEvenOdd) : fill())
  }
  if (shape.stroke) {
    ops.push(setStrokingColor(ink(shape.stroke)), setLineWidth(round((shape.width ?? 0.25) * k)))
    ops.push(
      setDashPattern(
        (shape.dash ?? []).map((d) => round(d * k)),
        0,
      ),
    )
    trace()
    ops.push(stroke())
  }
  return ops
}

/**
 * Scales come from shapes whose last bits differ from one engine to another; six digits are the same everywhere, and a page of
 * 300 mm is placed to a third of a thousandth by them.
 */
const factor = (v: number): number => Math.round(v * 1e6) / 1e6

/** Two digits of a point: a three-hundredth of a millimetre, and short files. */
const round = (v: number): number => Math.round(v * 100) / 100
