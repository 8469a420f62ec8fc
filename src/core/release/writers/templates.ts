/**
 * Templates for trim, pads and drilling as DXF, true to size, mm. Trim and fittings lie in plan in job axes (x forward to the
 * right, y to port up); drill templates lie in the plane of each seat, one beside the other, because a sloping shell is longer
 * than its plan.
 */
import { EndType, inflatePathsD, JoinType } from 'clipper2-ts'
import type { DrillMark } from '../../build-plan'
import { type BaseOutline, baseOutline, type Fastener, type Place2, type PlacedFitting } from '../../fitting'
import type { Steps } from '../../geometry/kernel'
import { type Mesh, vertexCount } from '../../geometry/mesh'
import { rimLoops } from '../../geometry/rim-loops'
import type { Vec } from '../../geometry/vectors'
import { laidPieces } from '../drawing/flat-sheet'
import type { PackFile, ReleaseResults } from '../types'
import { type DxfLayer, type DxfShape, writeDxf } from './dxf'

export interface TemplateWords {
  readonly title: string
  readonly revision: string
  /** Hash of the job, hex. */
  readonly hash: string
}

/** A pad stands out beyond the base by this much, mm. (Common practice, no source.) */
const PAD_MARGIN_MM = 10
/** A gap under the base up to this is taken up by bedding and needs no pad, mm. */
const BEDDING_MM = 0.5

const LAYERS: readonly DxfLayer[] = [
  { name: 'TRIM_UNDERSIDE', colour: 5 },
  { name: 'TRIM_TOPSIDE', colour: 3 },
  { name: 'CENTRELINE', colour: 1 },
  { name: 'FOOTPRINT', colour: 7 },
  { name: 'OPENING', colour: 6 },
  { name: 'PAD', colour: 4 },
  { name: 'DRILL', colour: 1 },
  { name: 'SEAT', colour: 2 },
  { name: 'FLAT', colour: 7 },
  { name: 'TEXT', colour: 7 },
  { name: 'CHECK', colour: 2 },
]

/** The DXF files that the results allow: trim, fittings in plan, drill templates. */
export function* templates(results: ReleaseResults, words: TemplateWords): Steps<PackFile[]> {
  const files: PackFile[] = []
  const { clearance, fitting } = results
  const trims: DxfShape[] = []
  if (clearance)
    for (const [i, name] of (['underside', 'topside'] as const).entries()) {
      trims.push(...(yield* trimLines(clearance[name].face, name)))
      yield { fraction: 0.3 * (i + 1), label: 'trim line' }
    }
  const tubeHoles = (results.build?.templates.tubes ?? []).flatMap(holeInPlan)
  if (clearance)
    files.push({
      path: 'trim-template.dxf',
      bytes: sheet(
        [...trims, ...tubeHoles, ...axes(trims)],
        words,
        tubeHoles.length > 0 ? 'trim line, fasteners into tubes in plan' : 'trim line',
      ),
    })
  const flats = flatShapes(results)
  if (flats.length > 0)
    files.push({ path: 'flat-patterns.dxf', bytes: sheet(flats, words, 'pieces laid flat, without overlap') })
  const placed = fitting?.placed ?? []
  if (placed.length === 0) return files
  const outlines = placed.map((p) => ({ fitting: p, outline: withFasteners(p, fitting?.fasteners ?? []) }))
  const inPlan = outlines.flatMap(({ fitting: p, outline }) =>
    baseShapes(p, outline, (at) => {
      const [x, y] = outline.toJob(at)
      return [x, y]
    }),
  )
  files.push({
    path: 'fitting-template.dxf',
    bytes: sheet([...trims, ...inPlan, ...axes([...trims, ...inPlan])], words, 'fittings and pads in plan'),
  })
  yield { fraction: 0.8, label: 'fittings' }
  files.push({
    path: 'drill-template.dxf',
    bytes: sheet(sideBySide(outlines), words, 'drill templates, flat on the shell'),
  })
  return files
}

/** A fastener into a tube: its place in plan; along a slope the measures of the drill list decide. */
function holeInPlan({ name, at, diameter_mm }: DrillMark): DxfShape[] {
  const place: Place2 = [at[0], at[1]]
  return [
    ...(diameter_mm === null
      ? []
      : [{ kind: 'circle', layer: 'DRILL', at: place, radius_mm: diameter_mm / 2 } satisfies DxfShape]),
    { kind: 'point', layer: 'DRILL', at: place },
    { kind: 'text', layer: 'TEXT', at: [place[0] + 6, place[1] + 6], height_mm: 6, text: name },
  ]
}

/** Every piece that lies flat near enough, with its name and how much it gives. */
function flatShapes({ build }: ReleaseResults): DxfShape[] {
  return laidPieces(build?.flats ?? [], 60).flatMap(({ piece, at }) => [
    ...piece.outline.map(
      (loop): DxfShape => ({
        kind: 'polyline',
        layer: 'FLAT',
        closed: true,
        points: loop.map(([u, v]): Place2 => [u + at[0], v + at[1]]),
      }),
    ),
    {
      kind: 'text',
      layer: 'TEXT',
      at: [at[0], at[1] - 20],
      height_mm: 12,
      text: `${piece.shell} ${piece.name}, gives ${(100 * piece.strain95).toFixed(1)} %${piece.forCore ? ', core too' : ''}`,
    },
  ])
}

/** The holes that are drilled are those of the plan: found in the base or given by the user, and none that was ruled out. */
function withFasteners(placed: PlacedFitting, fasteners: readonly Fastener[]): BaseOutline {
  const outline = baseOutline(placed)
  return {
    ...outline,
    bolts: fasteners
      .filter((f) => f.fitting === placed.id && f.twin === placed.twin)
      .map((f) => ({ at: outline.onBase(f.at as Vec), diameter_mm: f.diameter_mm })),
  }
}

/** The rim of a moulded face, longest loop first, in plan. */
function* trimLines(face: Mesh<'job'>, name: 'underside' | 'topside'): Steps<DxfShape[]> {
  const layer = name === 'underside' ? 'TRIM_UNDERSIDE' : 'TRIM_TOPSIDE'
  const { positions: p, origin } = face
  const loops = yield* rimLoops(face.indices, vertexCount(face))
  return loops.map((loop) => ({
    kind: 'polyline',
    layer,
    closed: true,
    points: loop.map((k): Place2 => [p[3 * k]! + origin[0], p[3 * k + 1]! + origin[1]]),
  }))
}

/** Footprint, pad, openings, bolts and the seat's own mark, through a map from the seat's plane to the sheet. */
function baseShapes(fitting: PlacedFitting, outline: BaseOutline, put: (at: Place2) => Place2): DxfShape[] {
  const shapes: DxfShape[] = []
  const loop = (layer: string, points: readonly Place2[]): DxfShape => ({
    kind: 'polyline',
    layer,
    closed: true,
    points: points.map(put),
  })
  const padded = fitting.gapUnderBase_mm > BEDDING_MM
  for (const border of outline.borders) shapes.push(loop('FOOTPRINT', border))
  if (padded) for (const pad of padsOf(outline.borders)) shapes.push(loop('PAD', pad))
  for (const opening of outline.openings) shapes.push(loop('OPENING', opening))
  for (const bolt of outline.bolts)
    shapes.push(
      { kind: 'circle', layer: 'DRILL', at: put(bolt.at), radius_mm: bolt.diameter_mm / 2 },
      { kind: 'point', layer: 'DRILL', at: put(bolt.at) },
    )
  shapes.push(
    { kind: 'line', layer: 'SEAT', from: put([-8, 0]), to: put([8, 0]) },
    { kind: 'line', layer: 'SEAT', from: put([0, -8]), to: put([0, 8]) },
    { kind: 'point', layer: 'SEAT', at: put([0, 0]) },
  )
  const [x, y] = put([0, 0])
  const lines = [
    `${fitting.name}${fitting.twin ? ', twin' : ''}, ${fitting.on}`,
    padded ? `pad up to ${fitting.gapUnderBase_mm.toFixed(1)} mm` : 'no pad',
    outline.bolts.length > 0
      ? outline.bolts.map((b) => `\u00d8${b.diameter_mm.toFixed(1)}`).join(' ')
      : 'no bolt holes in the part: drill from the part',
  ]
  for (const [i, text] of lines.entries())
    shapes.push({ kind: 'text', layer: 'TEXT', at: [x + 12, y + 12 - 12 * i], height_mm: 8, text })
  return shapes
}

const padsOf = (borders: readonly (readonly Place2[])[]): readonly (readonly Place2[])[] =>
  inflatePathsD(
    borders.map((b) => b.map(([x, y]) => ({ x, y }))),
    PAD_MARGIN_MM,
    JoinType.Round,
    EndType.Polygon,
    2,
    4,
  ).map((path) => path.map((p): Place2 => [p.x, p.y]))

/** One template after the other to the right, each in the plane of its seat, with the way forward. */
function sideBySide(all: readonly { fitting: PlacedFitting; outline: BaseOutline }[]): DxfShape[] {
  const shapes: DxfShape[] = []
  let x = 0
  for (const { fitting, outline } of all) {
    const corners = outline.borders.flat()
    const end = (axis: 0 | 1, best: (a: number, b: number) => number, none: number): number =>
      corners.length > 0 ? corners.reduce((so, p) => best(so, p[axis]), corners[0]![axis]) : none
    const [least, most, top] = [end(0, Math.min, -20), end(0, Math.max, 20), end(1, Math.max, 20)]
    const shift = x - least + PAD_MARGIN_MM
    const put = ([u, v]: Place2): Place2 => [u + shift, v]
    shapes.push(...baseShapes(fitting, outline, put))
    const y = top + 30
    shapes.push(
      { kind: 'line', layer: 'TEXT', from: put([0, y]), to: put([40, y]) },
      { kind: 'line', layer: 'TEXT', from: put([40, y]), to: put([32, y + 4]) },
      { kind: 'line', layer: 'TEXT', from: put([40, y]), to: put([32, y - 4]) },
      { kind: 'text', layer: 'TEXT', at: put([46, y - 4]), height_mm: 8, text: 'FORWARD' },
    )
    // Room for the words, which run to the right of the seat.
    x = shift + Math.max(most + PAD_MARGIN_MM, 330) + 60
  }
  return shapes
}

/** Centreline and origin of the job axes, as long as what is drawn. */
function axes(shapes: readonly DxfShape[]): DxfShape[] {
  const xs = shapes.flatMap((s) => (s.kind === 'polyline' ? s.points.map((p) => p[0]) : []))
  if (xs.length === 0) return []
  let [least, most] = [Infinity, -Infinity]
  for (const x of xs) {
    least = Math.min(least, x)
    most = Math.max(most, x)
  }
  return [
    { kind: 'line', layer: 'CENTRELINE', from: [least - 100, 0], to: [most + 100, 0] },
    { kind: 'line', layer: 'CENTRELINE', from: [0, -50], to: [0, 50] },
    { kind: 'text', layer: 'TEXT', at: [most + 110, -6], height_mm: 12, text: 'FORWARD, CENTRELINE' },
  ]
}

/** The sheet with its words, the unit as text, and a line of 100 mm to measure a print by. */
function sheet(shapes: readonly DxfShape[], words: TemplateWords, what: string): Uint8Array {
  let [x0, y0] = [0, 0]
  for (const s of shapes)
    for (const [x, y] of s.kind === 'polyline' ? s.points : s.kind === 'line' ? [s.from, s.to] : [s.at]) {
      x0 = Math.min(x0, x)
      y0 = Math.min(y0, y)
    }
  const lines = [
    'UNIT: MILLIMETRE, SCALE 1:1',
    `${words.title}, revision ${words.revision}: ${what}`,
    `job ${words.hash.slice(0, 16)}`,
  ]
  return writeDxf(LAYERS, [
    ...shapes,
    ...lines.map(
      (text, i): DxfShape => ({
        kind: 'text',
        layer: 'TEXT',
        at: [x0, y0 - 60 - 20 * i],
        height_mm: 12,
        text,
      }),
    ),
    { kind: 'line', layer: 'CHECK', from: [x0, y0 - 130], to: [x0 + 100, y0 - 130] },
    { kind: 'line', layer: 'CHECK', from: [x0, y0 - 125], to: [x0, y0 - 135] },
    { kind: 'line', layer: 'CHECK', from: [x0 + 100, y0 - 125], to: [x0 + 100, y0 - 135] },
    { kind: 'text', layer: 'CHECK', at: [x0 + 110, y0 - 134], height_mm: 8, text: 'this line is 100 mm' },
  ])
}
