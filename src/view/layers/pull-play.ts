/** Plays the part leaving its mould: up along the pull, a rest, and back. The only long motion of the sheet. */
import type { EyeRig } from '../camera/eye-rig'
import type { SheetStore } from '../sheet-store'

const TRAVEL_MS = 1600
const REST_MS = 900

const playing = new WeakMap<SheetStore, number>()

/** @param still no motion is wanted: the part stands pulled until asked again */
export function playPull(sheet: SheetStore, rig: EyeRig, still: boolean): void {
  const before = playing.get(sheet)
  if (before !== undefined) cancelAnimationFrame(before)
  playing.delete(sheet)
  if (still || before !== undefined) {
    sheet.setState((s) => ({ pulled: s.pulled > 0 ? 0 : still ? 1 : 0 }))
    rig.redraw()
    return
  }
  const since = performance.now()
  const step = (now: number) => {
    const t = now - since
    const share = t < TRAVEL_MS ? t / TRAVEL_MS : Math.max(1 - (t - TRAVEL_MS - REST_MS) / TRAVEL_MS, 0)
    const s = Math.min(share, 1)
    sheet.setState({ pulled: s * s * (3 - 2 * s) })
    rig.redraw()
    if (t < 2 * TRAVEL_MS + REST_MS) playing.set(sheet, requestAnimationFrame(step))
    else {
      playing.delete(sheet)
      sheet.setState({ pulled: 0 })
    }
  }
  playing.set(sheet, requestAnimationFrame(step))
}
