/** What a tool shop is shown of each tool: its set-up, and cost over the number of parts. */
import type { ToolingResult, ToolPlan } from '../../tooling'
import { planOf, roomForNumber } from './board-sheets'
import {
  area,
  BLUE,
  circle,
  corners,
  type Drawing,
  INK,
  INK_2,
  LEAD,
  line,
  outline,
  type Place2,
  type Shape,
  words,
} from './drawing'

/** Paper millimetres that a tool drawing is wide. */
const WIDE_MM = 84
/** Boards of one layer and the next in two tones, so that joints stand out. */
const LAYER_INK = ['#efe9db', '#e2d8c3'] as const

/** Plan in tool axes: boards of the first layer, block, trim line, seats of the datum balls, pieces for the machine. */
export function setupSheet(tool: ToolPlan): Drawing {
  const { stock, trim, marks } = tool
  const { x0, x1, y0, y1 } = planOf(tool)
  const pad = 0.04 * (x1 - x0)
  const scale = WIDE_MM / (x1 - x0 + 2 * pad)
  const rim: Place2[] = []
  for (let k = 0; k < trim.length; k += 3) rim.push([trim[k]!, trim[k + 1]!])
  const first = stock.layers[0]
  const shapes: Shape[] = [
    ...(stock.layers[0]?.region ?? []).map((path) =>
      outline(
        path.map(([x, y]): Place2 => [x, y]),
        INK,
        0.3,
      ),
    ),
    ...(first?.pieces ?? []).flatMap((p, i): Shape[] => [
      area([corners(p)], LAYER_INK[i % 2]!, INK_2, 0.15),
      ...(roomForNumber(p, scale)
        ? [
            words([(p.x0 + p.x1) / 2, (p.y0 + p.y1) / 2], String(p.board + 1), {
              anchor: 'middle',
              ink: INK_2,
              size: 1.8,
            }),
          ]
        : []),
    ]),
    outline(rim, BLUE, 0.35),
    ...(stock.sections.length > 1 ? stock.sections.map((c) => outline(corners(c), LEAD, 0.3)) : []),
    ...marks.flatMap((m): Shape[] => [
      area([circle([m.at[0], m.at[1]], 0.012 * (x1 - x0))], '#fbf8f1', INK, 0.3),
      words([m.at[0], m.at[1] + 0.02 * (x1 - x0)], m.name, { anchor: 'middle' }),
    ]),
    line(
      [
        [0, 0],
        [0.09 * (x1 - x0), 0],
      ],
      LEAD,
      0.4,
    ),
    line(
      [
        [0, 0],
        [0, 0.09 * (x1 - x0)],
      ],
      LEAD,
      0.4,
    ),
    words([0.1 * (x1 - x0), 0], 'x', { ink: LEAD }),
    words([0, 0.1 * (x1 - x0)], 'y', { ink: LEAD, anchor: 'middle' }),
  ]
  return {
    title: `Set-up of the tool of the ${tool.role}, first layer of boards`,
    box: { x0: x0 - pad, y0: y0 - pad, x1: x1 + pad, y1: y1 + pad },
    scale,
    shapes,
  }
}

/** Cost over the number of parts: solid direct, dashed plug and mould, every crossing, the number wanted. */
export function costSheet({ choice }: ToolingResult): Drawing {
  const { curve, crossings, parts } = choice
  const last = Math.min(curve.direct.length, Math.max(20, 3 * parts, ...crossings.slice(0, 3).map((c) => 2 * c.parts)))
  const most = Math.max(curve.direct[last - 1]!, curve.plug[last - 1]!, 1)
  const [w, h] = [160, 52]
  const x = (n: number) => (w * (n - 1)) / Math.max(1, last - 1)
  const y = (c: number) => (h * c) / most
  const along = (costs: readonly number[]) => costs.slice(0, last).map((c, i): Place2 => [x(i + 1), y(c)])
  const upright = (n: number, top: number): Place2[] => [
    [x(n), 0],
    [x(n), top],
  ]
  return {
    title: 'Cost over the number of parts: solid direct, dashed plug and production mould',
    box: { x0: -2, y0: -8, x1: w + 6, y1: h + 6 },
    scale: 1,
    shapes: [
      line(
        [
          [0, 0],
          [w, 0],
        ],
        INK,
        0.25,
      ),
      line(along(curve.direct), INK, 0.45),
      line(along(curve.plug), INK, 0.45, [2.4, 1.4]),
      ...crossings
        .filter((c) => c.parts <= last)
        .flatMap((c): Shape[] => [
          line(upright(c.parts, h), LEAD, 0.25, [1, 1]),
          words([x(c.parts) + 1, h - 1], String(c.parts), { ink: LEAD, size: 2.2 }),
        ]),
      ...(parts <= last
        ? [line(upright(parts, h), BLUE, 0.35), words([x(parts) + 1, -3], `${parts} wanted`, { ink: BLUE, size: 2.2 })]
        : []),
      words([0, -6], '1 part', { size: 2.2, ink: INK_2 }),
      words([w, -6], `${last} parts`, { anchor: 'end', size: 2.2, ink: INK_2 }),
      words([0, h + 2], most.toFixed(0), { size: 2.2, ink: INK_2 }),
    ],
  }
}
