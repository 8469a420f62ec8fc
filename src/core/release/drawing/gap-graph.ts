import { type BearingGap, PIECE_MM } from '../../clearance'
import { BLUE, type Drawing, INK_2, LEAD, line, type Place2, words } from './drawing'

const WIDE = 120
const HIGH = 30

/** The gap between the inner surface and a bearing tube along it, in paper millimetres; dashed: what was asked. */
export function gapGraph({ name, along_mm, gap_mm, asked_mm, largest_mm }: BearingGap): Drawing | null {
  if (gap_mm.length < 2) return null
  const top = Math.max(1, Math.ceil(1.1 * Math.max(asked_mm, largest_mm ?? 0)))
  const long = along_mm[along_mm.length - 1]! + PIECE_MM / 2
  const at = (s: number, g: number): Place2 => [(s / long) * WIDE, (g / top) * HIGH]
  // A line of its own for every stretch without a break.
  const runs: Place2[][] = []
  along_mm.forEach((s, k) => {
    if (k === 0 || s - along_mm[k - 1]! > 1.5 * PIECE_MM) runs.push([])
    runs[runs.length - 1]!.push(at(s, gap_mm[k]!))
  })
  return {
    title: `Gap along ${name}`,
    box: { x0: -14, y0: -8, x1: WIDE + 4, y1: HIGH + 4 },
    scale: 1,
    shapes: [
      line([at(0, 0), [WIDE, 0]], INK_2),
      line([at(0, 0), [0, HIGH]], INK_2),
      line([at(0, asked_mm), at(long, asked_mm)], LEAD, 0.2, [2, 1.5]),
      ...runs.map((run) => line(run, BLUE, 0.4)),
      words([-1.5, HIGH - 2], `${top} mm`, { anchor: 'end' }),
      words([-1.5, 0], '0', { anchor: 'end' }),
      words([WIDE, -5], `${Math.round(long)} mm along the tube`, { anchor: 'end' }),
    ],
  }
}
