import { type BearingGap, PIECE_MM } from '../core/clearance/metal-gaps'

export interface GapCurve {
  /** SVG path data. */
  readonly path: string
  /** Height of the line of what was asked. */
  readonly asked: number
  /** Gap that the upper border stands for, mm. */
  readonly top_mm: number
}

/** The gap along a tube as a line in a box of this size, 0 mm at its foot; it breaks where the surface is out of reach. */
export function gapCurve(
  { along_mm, gap_mm, asked_mm, largest_mm }: BearingGap,
  width: number,
  height: number,
): GapCurve {
  const top_mm = Math.max(1, Math.ceil(1.1 * Math.max(asked_mm, largest_mm ?? 0)))
  const long = (along_mm[along_mm.length - 1] ?? 0) + PIECE_MM / 2
  const x = (s: number) => ((s / long) * width).toFixed(1)
  const y = (g: number) => height * (1 - g / top_mm)
  let before = -Infinity
  const path = along_mm
    .map((s, k) => {
      const move = s - before > 1.5 * PIECE_MM ? 'M' : 'L'
      before = s
      return `${move}${x(s)} ${y(gap_mm[k]!).toFixed(1)}`
    })
    .join('')
  return { path, asked: y(asked_mm), top_mm }
}
