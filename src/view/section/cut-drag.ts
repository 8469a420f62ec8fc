/** The letters of a section are its handles: dragged along its axis, or moved by arrow keys; what it shows follows at once. */
import type { KeyboardEvent, PointerEvent } from 'react'
import { lengthText, type ShownUnit } from '../../state/format'
import type { Stores } from '../../state/stores'
import { basisOf } from '../camera/eye'
import type { EyeRig } from '../camera/eye-rig'
import { measureWords } from '../measuring/measure-words'
import type { Cut } from './cut-side'

const STEP_MM = 10

interface Grip {
  readonly x: number
  readonly y: number
  readonly at_mm: number
}

/** Outlives the pictures that are drawn while the section is dragged. */
export interface CutDrag {
  from: Grip | null
  wished: number | null
  frame: number
}

export const newCutDrag = (): CutDrag => ({ from: null, wished: null, frame: 0 })

export function cutHandle(stores: Stores, rig: EyeRig, cut: Cut, unit: ShownUnit, drag: CutDrag) {
  const { across, at_mm } = cut.section
  const move = (to_mm: number) =>
    stores.session.setState({ section: { across, at_mm: Math.round(to_mm * 10) / 10, spot: null }, finding: null })
  /** Screen px per millimetre along the section's axis; seen along it, a millimetre up moves a millimetre. */
  const way = (): readonly [number, number] => {
    const { eye } = rig.now()
    const basis = basisOf(eye)
    const k = across === 'x' ? 0 : 1
    const x = basis.right[k] * eye.pxPerMm
    const y = -basis.up[k] * eye.pxPerMm
    return Math.hypot(x, y) > 0.15 * eye.pxPerMm ? [x, y] : [0, -eye.pxPerMm]
  }
  return {
    role: 'slider',
    tabIndex: 0,
    'aria-label': measureWords.cutHandle(across, lengthText(at_mm, unit, unit === 'mm' ? 0 : undefined)),
    'aria-valuenow': Math.round(at_mm),
    'aria-valuetext': lengthText(at_mm, unit, unit === 'mm' ? 1 : undefined),
    onPointerDown(e: PointerEvent<SVGElement>) {
      e.preventDefault()
      e.currentTarget.setPointerCapture(e.pointerId)
      drag.from = { x: e.clientX, y: e.clientY, at_mm }
    },
    onPointerMove(e: PointerEvent<SVGElement>) {
      const { from } = drag
      if (!from) return
      const [wx, wy] = way()
      drag.wished = from.at_mm + ((e.clientX - from.x) * wx + (e.clientY - from.y) * wy) / (wx * wx + wy * wy)
      drag.frame ||= requestAnimationFrame(() => {
        drag.frame = 0
        if (drag.wished !== null) move(drag.wished)
      })
    },
    onPointerUp() {
      drag.from = null
    },
    onKeyDown(e: KeyboardEvent) {
      const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[e.key]
      if (by === undefined) return
      e.preventDefault()
      e.stopPropagation()
      move(at_mm + by * (e.shiftKey ? 1 : STEP_MM))
    },
  } as const
}
