/** Boards layer by layer in plan, and the cutter's passes over the tool. */
import type { Passes, StockLayer, ToolPlan } from '../../tooling'
import {
  area,
  BLUE,
  type Box,
  corners,
  type Drawing,
  INK,
  INK_2,
  LAMINATE,
  LEAD,
  line,
  numberText,
  outline,
  type Place2,
  RULE,
  type Shape,
  scaleFor,
  WIDE,
  words,
} from './drawing'

/** Passes drawn at most: more would be a grey area on paper. */
const PASSES_DRAWN = 90
const POINTS_DRAWN = 120

const NUMBER_MM = 2.1
/** Whether the number of its board can be read on a piece; those of slivers stand in boards.csv alone. */
export const roomForNumber = (piece: Box, scale: number): boolean =>
  Math.min(piece.x1 - piece.x0, piece.y1 - piece.y0) * scale > 1.1 * NUMBER_MM

/** The blank of a tool in plan, tool axes. */
export function planOf(tool: ToolPlan): Box {
  const box = { x0: Infinity, y0: Infinity, x1: -Infinity, y1: -Infinity }
  for (const c of tool.stock.sections) {
    box.x0 = Math.min(box.x0, c.x0)
    box.y0 = Math.min(box.y0, c.y0)
    box.x1 = Math.max(box.x1, c.x1)
    box.y1 = Math.max(box.y1, c.y1)
  }
  return box
}

/** Layers two abreast from the lowest up: boards with the number each is sawn from, the slice they have to cover, cuts for the machine. */
export function boardSheet(tool: ToolPlan): Drawing {
  const plan = planOf(tool)
  const [wide, high] = [plan.x1 - plan.x0, plan.y1 - plan.y0]
  const gap = 0.06 * wide
  const foot = 0.07 * wide
  const rows = Math.ceil(tool.stock.layers.length / 2)
  const box: Box = { x0: 0, y0: -rows * (high + foot + gap), x1: 2 * wide + gap, y1: 0 }
  const scale = scaleFor(box, WIDE, 235)
  const shapes = tool.stock.layers.flatMap((layer, k) => {
    const dx = (k % 2) * (wide + gap) - plan.x0
    const dy = -Math.floor(k / 2) * (high + foot + gap) - plan.y1
    return layerShapes(tool, layer, k, ([px, py]) => [px + dx, py + dy], scale)
  })
  return { title: `Boards of the ${tool.made === 'plug' ? 'plug' : 'mould'} of the ${tool.role}`, box, scale, shapes }
}

function layerShapes(tool: ToolPlan, layer: StockLayer, k: number, put: (p: Place2) => Place2, scale: number): Shape[] {
  const plan = planOf(tool)
  return [
    ...layer.pieces.map((p) => area([corners(p).map(put)], LAMINATE, INK, 0.15)),
    ...layer.region.map((path) => outline(path.map(put), BLUE, 0.3)),
    ...(tool.stock.sections.length > 1 ? tool.stock.sections.map((c) => cut(c, put)) : []),
    ...layer.pieces
      .filter((p) => roomForNumber(p, scale))
      .map((p) =>
        words(put([(p.x0 + p.x1) / 2, (p.y0 + p.y1) / 2 - 1 / scale]), String(p.board + 1), {
          anchor: 'middle',
          size: NUMBER_MM,
        }),
      ),
    words(
      put([plan.x0, plan.y0 - 3.6 / scale]),
      `layer ${k + 1}, z ${numberText(layer.z0_mm)} to ${numberText(layer.z1_mm)} mm, ${layer.pieces.length} pieces`,
      { ink: INK_2 },
    ),
  ]
}

const cut = (c: Box, put: (p: Place2) => Place2): Shape => {
  const around = corners(c)
  return line([...around, around[0]!].map(put), LEAD, 0.25, [1.2, 1])
}

/** Some of the passes, evenly taken, over the trim line and the datum balls. */
export function passSheet(tool: ToolPlan): Drawing {
  const plan = planOf(tool)
  const scale = scaleFor(plan, WIDE, 130)
  const box: Box = { x0: plan.x0, y0: plan.y0 - 12 / scale, x1: plan.x1, y1: plan.y1 }
  const trim: Place2[] = []
  for (let k = 0; k < tool.trim.length; k += 3) trim.push([tool.trim[k]!, tool.trim[k + 1]!])
  const shapes: Shape[] = [
    ...passLines(tool.raster, RULE),
    ...passLines(tool.contour, LEAD),
    outline(trim, BLUE, 0.4),
    ...tool.marks.map((m) => words([m.at[0], m.at[1]], m.name, { anchor: 'middle', bold: true })),
    words(
      [plan.x0, box.y0 + 4 / scale],
      `${(tool.passLength_mm / 1e6).toFixed(2)} km in all, ${tool.stepOver_mm.toFixed(2)} mm apart; drawn: every ${every(tool.raster)}th raster pass (grey) and every ${every(tool.contour)}th level pass (red)`,
      { ink: INK_2 },
    ),
  ]
  return { title: `Passes over the ${tool.made === 'plug' ? 'plug' : 'mould'} of the ${tool.role}`, box, scale, shapes }
}

const every = ({ start }: Passes): number => Math.max(1, Math.ceil((start.length - 1) / PASSES_DRAWN))

function passLines(passes: Passes, ink: typeof RULE | typeof LEAD): Shape[] {
  const { points, start } = passes
  const shapes: Shape[] = []
  const by = every(passes)
  for (let i = 0; i + 1 < start.length; i += by) {
    const [from, to] = [start[i]!, start[i + 1]!]
    const step = Math.max(1, Math.floor((to - from) / POINTS_DRAWN))
    const path: Place2[] = []
    for (let k = from; k < to; k += step) path.push([points[3 * k]!, points[3 * k + 1]!])
    if (to > from) path.push([points[3 * to - 3]!, points[3 * to - 2]!])
    if (path.length > 1) shapes.push(line(path, ink, 0.12))
  }
  return shapes
}
