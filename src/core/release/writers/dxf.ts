/**
 * DXF R12 (AC1009) in ASCII: the dialect that every cutter reads. Only LINE, POLYLINE with VERTEX, CIRCLE, POINT and TEXT;
 * $INSUNITS 4 says millimetres, and since readers of R12 may pass over it the unit also stands in the file as a TEXT.
 */

/** Letters, digits and underscores, upper case: what R12 allows of a name. */
export type DxfLayerName = string

export interface DxfLayer {
  readonly name: DxfLayerName
  /** Colour number of the format: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black or white. */
  readonly colour: 1 | 2 | 3 | 4 | 5 | 6 | 7
}

export type Point2 = readonly [number, number]

export type DxfShape = { readonly layer: DxfLayerName } & (
  | { readonly kind: 'polyline'; readonly points: readonly Point2[]; readonly closed: boolean }
  | { readonly kind: 'line'; readonly from: Point2; readonly to: Point2 }
  | { readonly kind: 'circle'; readonly at: Point2; readonly radius_mm: number }
  | { readonly kind: 'point'; readonly at: Point2 }
  | { readonly kind: 'text'; readonly at: Point2; readonly height_mm: number; readonly text: string }
)

/**
 * @param shapes mm, x to the right, y up
 * @returns ASCII with CRLF; coordinates with four digits after the point
 * @throws a defect for a layer that is not in the table
 */
export function writeDxf(layers: readonly DxfLayer[], shapes: readonly DxfShape[]): Uint8Array {
  for (const shape of shapes)
    if (!layers.some((l) => l.name === shape.layer)) throw new Error(`release: no DXF layer ${shape.layer}`)
  const [min, max] = extents(shapes)
  const groups: (readonly [number, string | number])[] = [
    ...header(min, max),
    ...tables(layers),
    [0, 'SECTION'],
    [2, 'ENTITIES'],
    ...shapes.flatMap(entity),
    [0, 'ENDSEC'],
    [0, 'EOF'],
  ]
  return new TextEncoder().encode(groups.map(([code, value]) => `${String(code).padStart(3)}\r\n${value}\r\n`).join(''))
}

type Group = readonly [number, string | number]

const fixed = (value: number): string => {
  const text = value.toFixed(4)
  return text === '-0.0000' ? '0.0000' : text
}

const at2 = ([x, y]: Point2, code = 10): Group[] => [
  [code, fixed(x)],
  [code + 10, fixed(y)],
  [code + 20, '0.0'],
]

function header(min: Point2, max: Point2): Group[] {
  const variable = (name: string, ...values: Group[]): Group[] => [[9, name], ...values]
  return [
    [0, 'SECTION'],
    [2, 'HEADER'],
    ...variable('$ACADVER', [1, 'AC1009']),
    ...variable('$INSUNITS', [70, 4]),
    ...variable('$EXTMIN', ...at2(min)),
    ...variable('$EXTMAX', ...at2(max)),
    [0, 'ENDSEC'],
  ]
}

function tables(layers: readonly DxfLayer[]): Group[] {
  return [
    [0, 'SECTION'],
    [2, 'TABLES'],
    [0, 'TABLE'],
    [2, 'LTYPE'],
    [70, 1],
    [0, 'LTYPE'],
    [2, 'CONTINUOUS'],
    [70, 0],
    [3, 'Solid line'],
    [72, 65],
    [73, 0],
    [40, '0.0'],
    [0, 'ENDTAB'],
    [0, 'TABLE'],
    [2, 'LAYER'],
    [70, layers.length],
    ...layers.flatMap(({ name, colour }): Group[] => [
      [0, 'LAYER'],
      [2, name],
      [70, 0],
      [62, colour],
      [6, 'CONTINUOUS'],
    ]),
    [0, 'ENDTAB'],
    [0, 'ENDSEC'],
  ]
}

function entity(shape: DxfShape): Group[] {
  const layer: Group = [8, shape.layer]
  switch (shape.kind) {
    case 'polyline':
      return [
        [0, 'POLYLINE'],
        layer,
        [66, 1],
        ...at2([0, 0]),
        [70, shape.closed ? 1 : 0],
        ...shape.points.flatMap((p): Group[] => [[0, 'VERTEX'], layer, ...at2(p)]),
        [0, 'SEQEND'],
        layer,
      ]
    case 'line':
      return [[0, 'LINE'], layer, ...at2(shape.from), ...at2(shape.to, 11)]
    case 'circle':
      return [[0, 'CIRCLE'], layer, ...at2(shape.at), [40, fixed(shape.radius_mm)]]
    case 'point':
      return [[0, 'POINT'], layer, ...at2(shape.at)]
    case 'text':
      return [[0, 'TEXT'], layer, ...at2(shape.at), [40, fixed(shape.height_mm)], [1, plain(shape.text)]]
  }
}

/** One line of ASCII; what is not ASCII is written as the format's \U+XXXX. */
const plain = (text: string): string =>
  [...text]
    .map((c) => {
      const code = c.codePointAt(0)!
      if (code < 32) return ' '
      return code < 127 ? c : code < 0x10000 ? `\\U+${code.toString(16).toUpperCase().padStart(4, '0')}` : '?'
    })
    .join('')
    .slice(0, 250)

function extents(shapes: readonly DxfShape[]): [Point2, Point2] {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  const take = ([x, y]: Point2, r = 0) => {
    x0 = Math.min(x0, x - r)
    y0 = Math.min(y0, y - r)
    x1 = Math.max(x1, x + r)
    y1 = Math.max(y1, y + r)
  }
  for (const shape of shapes)
    if (shape.kind === 'polyline') for (const p of shape.points) take(p)
    else if (shape.kind === 'line') for (const p of [shape.from, shape.to]) take(p)
    else take(shape.at, shape.kind === 'circle' ? shape.radius_mm : 0)
  return x0 <= x1
    ? [
        [x0, y0],
        [x1, y1],
      ]
    : [
        [0, 0],
        [0, 0],
      ]
}
