/** A drawing as plain shapes, y up, so that the page, the HTML report, the SVG files and the PDF all draw the same lines. */

export type Place2 = readonly [number, number]

/** Six hex digits with a hash. */
export type Ink = `#${string}`

export const INK = '#1e2428'
export const INK_2 = '#565b5c'
export const RULE = '#cfc8b9'
export const BLUE = '#1b5a94'
export const LEAD = '#b0381a'
export const METAL = '#8d989f'
export const LAMINATE = '#d9cba6'

export type Shape =
  | {
      readonly kind: 'path'
      /** Each part a line of its own; together they are filled by the even-odd rule. */
      readonly parts: readonly (readonly Place2[])[]
      readonly closed: boolean
      readonly stroke?: Ink
      /** Of the stroke, in the drawing's paper millimetres. */
      readonly width?: number
      readonly dash?: readonly number[]
      readonly fill?: Ink
    }
  | {
      readonly kind: 'text'
      readonly at: Place2
      readonly text: string
      /** Height of the letters, paper millimetres. */
      readonly size: number
      readonly anchor?: 'start' | 'middle' | 'end'
      readonly ink?: Ink
      readonly bold?: boolean
      /** Reads upwards. */
      readonly turned?: boolean
    }

/** What is drawn in the model's own millimetres and shown at a scale; letters and strokes keep their size on paper. */
export interface Drawing {
  readonly title: string
  readonly box: { readonly x0: number; readonly y0: number; readonly x1: number; readonly y1: number }
  /** Paper millimetres per unit of the box. */
  readonly scale: number
  readonly shapes: readonly Shape[]
}

export const line = (points: readonly Place2[], stroke: Ink, width = 0.25, dash?: readonly number[]): Shape => ({
  kind: 'path',
  parts: [points],
  closed: false,
  stroke,
  width,
  ...(dash ? { dash } : {}),
})

export const area = (parts: readonly (readonly Place2[])[], fill: Ink, stroke?: Ink, width = 0.2): Shape => ({
  kind: 'path',
  parts,
  closed: true,
  fill,
  ...(stroke ? { stroke, width } : {}),
})

export const outline = (points: readonly Place2[], stroke: Ink, width = 0.25): Shape => ({
  kind: 'path',
  parts: [points],
  closed: true,
  stroke,
  width,
})

export const words = (at: Place2, text: string, more: Partial<Extract<Shape, { kind: 'text' }>> = {}): Shape => ({
  kind: 'text',
  at,
  text,
  size: 2.4,
  ...more,
})

/** Sixteen corners, by square roots alone: the same in every engine. */
export function circle([x, y]: Place2, r: number): Place2[] {
  const s = Math.SQRT1_2
  const c = Math.sqrt((1 + s) / 2)
  const d = Math.sqrt((1 - s) / 2)
  const eighth: Place2[] = [
    [1, 0],
    [c, d],
    [s, s],
    [d, c],
  ]
  const all: Place2[] = []
  for (const [a, b] of [
    [1, 0],
    [0, 1],
    [-1, 0],
    [0, -1],
  ] as const)
    for (const [u, v] of eighth) all.push([x + r * (u * a - v * b), y + r * (u * b + v * a)])
  return all
}

/** A dimension: extension lines, a line with ticks, its figure. From and to lie along x or along y. */
export function dimension(from: Place2, to: Place2, offset: number, text: string, scale: number): Shape[] {
  const along = from[0] === to[0] ? 'y' : 'x'
  const mark = 1.2 / scale
  const shift = (p: Place2, by: number): Place2 => (along === 'x' ? [p[0], p[1] + by] : [p[0] + by, p[1]])
  const level = along === 'x' ? from[1] + offset : from[0] + offset
  const a: Place2 = along === 'x' ? [from[0], level] : [level, from[1]]
  const b: Place2 = along === 'x' ? [to[0], level] : [level, to[1]]
  const beyond = Math.sign(offset) * mark
  const tick = ([x, y]: Place2): Shape =>
    line(
      [
        [x - mark / 2, y - mark / 2],
        [x + mark / 2, y + mark / 2],
      ],
      INK,
      0.3,
    )
  const ends = (p: Place2, q: Place2): Shape => line([p, shift(q, beyond)], INK_2, 0.1)
  const middle: Place2 = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]
  return [
    ends(from, a),
    ends(to, b),
    line([a, b], INK, 0.15),
    tick(a),
    tick(b),
    words(along === 'x' ? shift(middle, 0.8 / scale) : shift(middle, -0.8 / scale), text, {
      anchor: 'middle',
      size: 2.4,
      turned: along === 'y',
    }),
  ]
}

export interface Box {
  x0: number
  y0: number
  x1: number
  y1: number
}

export function boxOf(points: Iterable<Place2>): Box {
  const box = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity }
  for (const [x, y] of points) {
    box.x0 = Math.min(box.x0, x)
    box.y0 = Math.min(box.y0, y)
    box.x1 = Math.max(box.x1, x)
    box.y1 = Math.max(box.y1, y)
  }
  return box
}

export const padded = ({ x0, y0, x1, y1 }: Box, left: number, low: number, right = left, high = low): Box => ({
  x0: x0 - left,
  y0: y0 - low,
  x1: x1 + right,
  y1: y1 + high,
})

/** The scale at which a box is so many millimetres wide on paper, and no higher than a limit. */
export const scaleFor = (box: Box, wide: number, high = Infinity): number =>
  Math.min(wide / (box.x1 - box.x0), high / (box.y1 - box.y0))

export const corners = ({ x0, y0, x1, y1 }: Box): Place2[] => [
  [x0, y0],
  [x1, y0],
  [x1, y1],
  [x0, y1],
]

/** Width of a drawing on an A4 page between its margins, paper millimetres. */
export const WIDE = 178

export const numberText = (v: number, digits = 0): string => v.toFixed(digits).replace('-', '−')
