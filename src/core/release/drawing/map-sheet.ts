/** A field over a mesh in plan: what its maps look like on paper. */
import { type Steps, within } from '../../geometry/kernel'
import { bounds, type Mesh } from '../../geometry/mesh'
import {
  area,
  type Box,
  circle,
  corners,
  type Drawing,
  INK,
  INK_2,
  LEAD,
  line,
  numberText,
  outline,
  type Place2,
  padded,
  RULE,
  type Shape,
  scaleFor,
  WIDE,
  words,
} from './drawing'
import { type Bands, contours, fieldCells } from './field-plan'

export interface MapWords {
  readonly title: string
  readonly unit: string
  readonly digits: number
  /** Written at the low and at the high end. */
  readonly low: string
  readonly high: string
}

/** A facet field in plan with its legend: area by band beside each colour. */
export function* mapSheet(
  mesh: Mesh,
  values: ArrayLike<number>,
  bands: Bands,
  text: MapWords,
  mark: { readonly at: readonly number[]; readonly text: string } | null,
  lines: readonly number[] = [],
): Steps<Drawing> {
  const { min, max } = bounds(mesh)
  const box = { x0: min[0], y0: min[1], x1: max[0], y1: max[1] }
  const scale = scaleFor(box, WIDE - 16, 76)
  const shapes = yield* within(0, 0.6, text.title, fieldCells(mesh, values, box, bands))
  if (lines.length > 0) {
    const drawn = yield* within(0.6, 0.9, 'contours', contours(mesh, values, lines, lines.at(-1)! * 2))
    for (const { level, parts } of drawn) {
      for (const part of parts) shapes.push(line(part, INK, 0.12))
      const longest = parts.reduce<Place2[]>((a, b) => (b.length > a.length ? b : a), [])
      const at = longest[Math.floor(longest.length / 3)]
      if (at) shapes.push(words(at, numberText(level, 0), { size: 1.8, anchor: 'middle' }))
    }
  }
  shapes.push(outline(corners(box), RULE, 0.1))
  if (mark) {
    const [x, y] = mark.at as [number, number]
    shapes.push(outline(circle([x, y], 2 / scale), LEAD, 0.45))
    const right = x > (box.x0 + box.x1) / 2
    shapes.push(
      words([x + (right ? -2.8 : 2.8) / scale, y + 0.8 / scale], mark.text, {
        ink: LEAD,
        bold: true,
        anchor: right ? 'end' : 'start',
      }),
    )
  }
  return {
    title: text.title,
    box: padded(box, 3 / scale, 16 / scale, 3 / scale, 3 / scale),
    scale,
    shapes: [...shapes, ...legend(bands, text, areasByBand(mesh, values, bands), box, scale)],
  }
}

function areasByBand(mesh: Mesh, values: ArrayLike<number>, { ends, inks }: Bands): number[] {
  const { positions: p, indices: t } = mesh
  const areas = inks.map(() => 0)
  for (let f = 0; f < values.length; f++) {
    const value = values[f]!
    if (Number.isNaN(value)) continue
    const [a, b, c] = [3 * t[3 * f]!, 3 * t[3 * f + 1]!, 3 * t[3 * f + 2]!]
    const u = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!] as const
    const v = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!] as const
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const
    let band = 0
    while (band < ends.length && value >= ends[band]!) band++
    areas[band]! += Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]) / 2
  }
  return areas
}

function legend(bands: Bands, text: MapWords, areas: readonly number[], box: Box, scale: number): Shape[] {
  const n = bands.inks.length
  const wide = (box.x1 - box.x0) / n
  const y1 = box.y0 - 3.5 / scale
  const y0 = y1 - 3.5 / scale
  const total = areas.reduce((a, b) => a + b, 0) || 1
  return bands.inks.flatMap((ink, i): Shape[] => {
    const x0 = box.x0 + i * wide
    const from = i === 0 ? text.low : numberText(bands.ends[i - 1]!, text.digits)
    const to = i === n - 1 ? text.high : numberText(bands.ends[i]!, text.digits)
    const share = areas[i]! / total
    const percent = share > 0 && share < 0.001 ? '< 0.1 %' : `${(100 * share).toFixed(1)} %`
    return [
      area([corners({ x0, x1: x0 + wide, y0, y1 })], ink, INK, 0.1),
      ...(bands.hatched[i] ? hatch({ x0, x1: x0 + wide, y0, y1 }, 1.5 / scale) : []),
      words([x0 + wide / 2, y0 - 2.8 / scale], `${from} … ${to}${i === n - 1 ? '' : ` ${text.unit}`}`, {
        anchor: 'middle',
        size: 1.9,
      }),
      words([x0 + wide / 2, y0 - 5.8 / scale], percent, { anchor: 'middle', size: 1.9, ink: INK_2 }),
    ]
  })
}

function hatch({ x0, x1, y0, y1 }: Box, step: number): Shape[] {
  const parts: Place2[][] = []
  for (let x = x0; x + (y1 - y0) <= x1; x += step)
    parts.push([
      [x, y0],
      [x + (y1 - y0), y1],
    ])
  return parts.length > 0 ? [{ kind: 'path', parts, closed: false, stroke: INK, width: 0.15 }] : []
}
