/** The shells apart: how high each is drawn over its place, and the way there and back. Nothing is measured on lifted places. */
import type { EyeRig } from './camera/eye-rig'
import type { PartName, SheetStore } from './sheet-store'

/** Enough to look between frame and underside, and between the two shells. */
const RAISE_MM = { underside: 420, topside: 860 } satisfies Record<PartName, number>

export const raise_mm = (part: PartName): number => RAISE_MM[part]

const SPREAD_MS = 400

const going = new WeakMap<SheetStore, number>()

/** Brings the shells apart or together again, at once where motion is unwanted. */
export function playSpread(sheet: SheetStore, rig: EyeRig, apart: boolean, still: boolean): void {
  const before = going.get(sheet)
  if (before !== undefined) cancelAnimationFrame(before)
  const to = apart ? 1 : 0
  const from = sheet.getState().spread
  if (from === to) return
  if (still) {
    sheet.setState({ spread: to })
    rig.redraw()
    return
  }
  let since = 0
  const step = (now: number) => {
    since ||= now
    const t = Math.min((now - since) / SPREAD_MS, 1)
    sheet.setState({ spread: from + (to - from) * t * t * (3 - 2 * t) })
    rig.redraw()
    if (t < 1) going.set(sheet, requestAnimationFrame(step))
    else going.delete(sheet)
  }
  going.set(sheet, requestAnimationFrame(step))
}
