/** Who stands where on the sheet, by its size: the drawing's free part, legend, title block, glass. CSS px from its upper left. */
import type { FreeBox } from './camera/eye'
import type { Box } from './labels/label-layout'

type SheetSize = 'large' | 'small' | 'phone'

export interface Room {
  readonly size: SheetSize
  readonly width: number
  readonly height: number
  readonly free: FreeBox
  readonly legend: Box | null
  readonly title: Box | null
  readonly glass: { readonly cx: number; readonly cy: number; readonly r: number } | null
}

export interface RoomWish {
  readonly width: number
  readonly height: number
  /** What an open slip takes from the right of the sheet, px. */
  readonly slip_px: number
  readonly legend: boolean
  readonly glassLarge: boolean
  /** On a phone the glass stands only for a spot that was tapped. */
  readonly spotAsked: boolean
}

/** An open slip is 328 px wide and stands at the window's edge, 12 px outside the frame line. */
export const SLIP_PX = 328 - 12

const LEGEND = { large: [392, 160], small: [340, 106], phone: [0, 112] } as const
const TITLE = { large: [286, 92], small: [250, 62], phone: [0, 0] } as const
const GLASS = { large: 104, small: 76, phone: 66 } as const

function sheetSize(width: number, height: number): SheetSize {
  if (width < 560) return 'phone'
  return width < 860 || height < 560 ? 'small' : 'large'
}

export function roomOf({ width, height, slip_px, legend, glassLarge, spotAsked }: RoomWish): Room {
  const size = sheetSize(width, height)
  // On a phone the slip lies over the lower half of the page and takes no width.
  const right = size === 'phone' ? width : Math.max(width - slip_px, width / 3)
  const [lw, lh] = LEGEND[size]
  const [tw, th] = TITLE[size]
  const r = GLASS[size] * (glassLarge ? 1.9 : 1)
  // Beside the glass there is room only where the sheet is wide; the drawing may reach under its lower part.
  const margin = size === 'phone' ? 8 : 26
  const bottom = size === 'phone' ? (legend ? lh : 0) : size === 'small' ? 10 : 18
  // The glass stands at the top: the drawing keeps below its upper half.
  const top = size === 'large' ? 84 : size === 'small' ? 34 : margin
  return {
    size,
    width,
    height,
    free: {
      left: margin,
      top,
      width: Math.max(right - 2 * margin, 60),
      height: Math.max(height - bottom - top, 60),
    },
    legend: legend
      ? size === 'phone'
        ? { left: 0, top: height - lh, right: width, bottom: height }
        : { left: 0, top: height - lh, right: lw, bottom: height }
      : null,
    title: tw > 0 ? { left: width - tw, top: height - th, right: width, bottom: height } : null,
    glass: (size === 'phone' ? spotAsked : right > 420)
      ? {
          cx: right - r - (size === 'large' ? 34 : size === 'small' ? 26 : 8),
          cy: r + (size === 'large' ? 50 : size === 'small' ? 18 : 8),
          r,
        }
      : null,
  }
}
