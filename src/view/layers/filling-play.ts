/** Plays the filling from the first drop to the last; only one number of the shader changes, so it runs at full rate. */
import type { EyeRig } from '../camera/eye-rig'
import type { SheetStore } from '../sheet-store'

const PLAY_MS = 7000

const playing = new WeakMap<SheetStore, number>()

/** Stops what plays. @returns whether something did */
export function haltFilling(sheet: SheetStore): boolean {
  const frame = playing.get(sheet)
  if (frame === undefined) return false
  cancelAnimationFrame(frame)
  playing.delete(sheet)
  return true
}

/** @param still no motion is wanted: each call shows the next tenth */
export function playFilling(sheet: SheetStore, rig: EyeRig, fill_min: number, still: boolean): void {
  if (haltFilling(sheet)) return
  const from = sheet.getState().filledTo_min ?? 0
  if (still) {
    const next = Math.floor((10 * from) / fill_min + 1.0001) / 10
    sheet.setState({ filledTo_min: next > 1 ? null : next * fill_min })
    rig.redraw()
    return
  }
  const since = performance.now() - (from / fill_min) * PLAY_MS
  const step = (now: number) => {
    const share = (now - since) / PLAY_MS
    sheet.setState({ filledTo_min: share < 1 ? Math.max(share, 0) * fill_min : null })
    rig.redraw()
    if (share < 1) playing.set(sheet, requestAnimationFrame(step))
    else playing.delete(sheet)
  }
  playing.set(sheet, requestAnimationFrame(step))
}
