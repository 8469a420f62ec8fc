/** The pieces of a shell that lie flat near enough, one under the other, with their sizes. */
import type { FlatPlan } from '../../build-plan'
import { area, type Box, type Drawing, INK, INK_2, LAMINATE, type Place2, type Shape, scaleFor, words } from './drawing'

const WIDE = 178
const HIGH = 230

export interface LaidPiece {
  readonly piece: FlatPlan
  /** Where its corner u = v = 0 lies, mm. */
  readonly at: Place2
}

/** Pieces with an outline, the widest row first filled from the left, never turned; rows stand `gap_mm` apart. */
export function laidPieces(flats: readonly FlatPlan[], gap_mm: number): readonly LaidPiece[] {
  const drawn = flats.filter((f) => f.flat)
  const wide = Math.max(0, ...drawn.map((f) => f.size_mm[0]))
  const laid: LaidPiece[] = []
  let [x, y, high] = [0, 0, 0]
  for (const piece of drawn) {
    const [u, v] = piece.size_mm
    if (x > 0 && x + u > wide) {
      y -= high + gap_mm
      ;[x, high] = [0, 0]
    }
    laid.push({ piece, at: [x, y - v] })
    x += u + gap_mm
    high = Math.max(high, v)
  }
  return laid
}

export function flatSheet(flats: readonly FlatPlan[], shell: FlatPlan['shell']): Drawing | null {
  const laid = laidPieces(
    flats.filter((f) => f.shell === shell),
    150,
  )
  if (laid.length === 0) return null
  const box: Box = { x0: 0, y0: 0, x1: 1, y1: 0 }
  for (const { piece, at } of laid) {
    box.x1 = Math.max(box.x1, at[0] + piece.size_mm[0])
    box.y0 = Math.min(box.y0, at[1])
  }
  box.y0 -= 140
  box.y1 = 20
  const scale = scaleFor(box, WIDE, HIGH)
  const shapes = laid.flatMap(({ piece, at }): Shape[] => [
    area(
      piece.outline.map((loop) => loop.map(([u, v]): Place2 => [at[0] + u, at[1] + v])),
      LAMINATE,
      INK,
    ),
    words(
      [at[0], at[1] - 3.4 / scale],
      `${piece.name}: ${piece.size_mm.map((v) => v.toFixed(0)).join(' × ')} mm, gives ${(100 * piece.strain95).toFixed(1)} %`,
      { ink: INK_2 },
    ),
  ])
  return { title: `Pieces of the ${shell} laid flat`, box, scale, shapes }
}
