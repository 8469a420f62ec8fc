/** Dragging and nudging fittings: edits of the job, one undo for a whole drag, whole millimetres; centreline and tubes hold them. */
import { changeFitting } from '../../core/job'
import type { Stores } from '../../state/stores'
import { scaleAt } from '../camera/eye'
import type { EyeMoment } from '../camera/eye-rig'
import { sheetWords } from '../words'
import type { Picked, PickRegister } from './pick'
import { HOLD_PX, snapped, tubesInPlan } from './snap'

export interface FittingDrag {
  move(moment: EyeMoment, x_px: number, y_px: number): void
  end(): void
}

/**
 * @param picked what was grabbed; the job's place follows the pointer along the shell, keeping the offset of the grab
 * @returns null where there is nothing to drag
 */
export function startFittingDrag(
  stores: Stores,
  picks: PickRegister,
  picked: Picked,
  moment: EyeMoment,
  x_px: number,
  y_px: number,
): FittingDrag | null {
  const { jobs, results } = stores
  const entry = jobs.getState().history.job.fittings.find((f) => f.id === picked.id)
  const placed = results.getState().steps.fitting.result?.placed ?? []
  if (!entry || entry.locked) return null
  // A twin is dragged by its mirror image: the job knows one place.
  const twin = placed.find(
    (p) => p.id === picked.id && p.twin && Math.sign(p.seat.at[1]) === Math.sign(picked.at[1]) && p.seat.at[1] !== 0,
  )
  const side = twin ? -1 : 1
  const under = (m: EyeMoment, x: number, y: number) => picks.pick(m, x, y, (kind) => kind === entry.on)
  const first = under(moment, x_px, y_px)
  if (!first) return null
  const offset = [entry.at_mm[0] - first.at[0], entry.at_mm[1] - side * first.at[1]] as const
  const tubes = tubesInPlan(stores)
  let begun = false
  let last = entry.at_mm
  let wished: readonly [number, number] | null = null
  let frame = 0

  const apply = () => {
    frame = 0
    if (!wished || (wished[0] === last[0] && wished[1] === last[1])) return
    if (!begun) {
      jobs.getState().beginDrag(sheetWords.move(entry.name))
      begun = true
    }
    last = wished
    jobs.getState().edit(changeFitting(entry.id, { at_mm: [wished[0], wished[1]] }))
  }

  return {
    move(m, x, y) {
      const hit = under(m, x, y)
      if (!hit) return
      wished = snapped(
        [hit.at[0] + offset[0], side * hit.at[1] + offset[1]],
        tubes,
        HOLD_PX / scaleAt(m.eye, m.basis, hit.shown),
      )
      if (!frame) frame = requestAnimationFrame(apply)
    },
    end() {
      cancelAnimationFrame(frame)
      apply()
      if (begun) jobs.getState().endDrag()
    },
  }
}

/** One millimetre forward, aft, to port or to starboard by the arrow keys; a tenth with Shift. False: nothing to move. */
export function nudgeFitting(stores: Stores, key: string, fine: boolean): boolean {
  const { jobs, session } = stores
  const id = session.getState().fitting
  const entry = jobs.getState().history.job.fittings.find((f) => f.id === id)
  const ways: Readonly<Record<string, readonly [number, number]>> = {
    ArrowUp: [1, 0],
    ArrowDown: [-1, 0],
    ArrowLeft: [0, 1],
    ArrowRight: [0, -1],
  }
  const way = ways[key]
  if (!entry || entry.locked || !way) return false
  const step = fine ? 0.1 : 1
  // Steps of a tenth stay tenths.
  const moved = (v: number, by: number) => Math.round((v + by * step) * 10) / 10
  jobs
    .getState()
    .edit(changeFitting(entry.id, { at_mm: [moved(entry.at_mm[0], way[0]), moved(entry.at_mm[1], way[1])] }))
  return true
}
