/** The moment of the filling that the sheet shows: a lead on the legend's scale to drag, and a word to play it. */
import { type KeyboardEvent, type PointerEvent, useEffect } from 'react'
import { useStore } from 'zustand'
import { trimmed } from '../../state/format'
import type { EyeRig } from '../camera/eye-rig'
import { haltFilling, playFilling } from '../layers/filling-play'
import type { SheetMap } from '../maps/sheet-map'
import type { SheetStore } from '../sheet-store'
import { reducedMotion } from '../theme'
import { fillingWords } from '../words'

interface PlayProps {
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly fill_min: number
}

export function FillingPlay({ sheet, rig, fill_min }: PlayProps) {
  const partly = useStore(sheet, (s) => s.filledTo_min !== null)
  const still = reducedMotion()
  return (
    <>
      <button type="button" data-testid="filling-play" onClick={() => playFilling(sheet, rig, fill_min, still)}>
        {still ? fillingWords.step : fillingWords.play}
      </button>
      {partly && (
        <button
          type="button"
          onClick={() => {
            haltFilling(sheet)
            sheet.setState({ filledTo_min: null })
            rig.redraw()
          }}
        >
          {fillingWords.whole}
        </button>
      )}
    </>
  )
}

interface LeadProps {
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly map: SheetMap
  readonly x: (value: number) => number
  readonly foot: number
  readonly axis_px: number
  readonly pad: number
}

export function FillingLead({ sheet, rig, map, x, foot, axis_px, pad }: LeadProps) {
  const shown = useStore(sheet, (s) => s.filledTo_min)
  const { scale } = map
  const end = scale.colourTo
  const now = shown ?? end
  // Another filling, which is another lead, begins whole.
  useEffect(() => () => sheet.setState({ filledTo_min: null }), [sheet])
  const set = (value: number) => {
    haltFilling(sheet)
    sheet.setState({ filledTo_min: value >= end ? null : Math.max(value, 0) })
    rig.redraw()
  }
  const onPointerDown = (e: PointerEvent<SVGGElement>) => {
    e.preventDefault()
    e.currentTarget.focus()
    e.currentTarget.setPointerCapture(e.pointerId)
  }
  const onPointerMove = (e: PointerEvent<SVGGElement>) => {
    if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
    const left = e.currentTarget.ownerSVGElement?.getBoundingClientRect().left ?? 0
    set(scale.from + ((e.clientX - left - pad) / axis_px) * (scale.to - scale.from))
  }
  const onKeyDown = (e: KeyboardEvent) => {
    const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[e.key]
    if (by !== undefined) set(now + (by * end) / 100)
    else if (e.key === 'Home') set(0)
    else if (e.key === 'End') set(end)
    else return
    e.preventDefault()
    e.stopPropagation()
  }
  const at = x(now)
  const toLeft = at > pad + axis_px - 120
  const text = fillingWords.at(trimmed(now, end < 10 ? 1 : 0), trimmed(end, end < 10 ? 1 : 0))
  const late = map.ownLimit
  return (
    <>
      {late !== null && late < scale.to && (
        <g className="limit">
          <line x1={x(late)} x2={x(late)} y1={foot - 10} y2={foot + 8} />
        </g>
      )}
      <g
        className="limit moment"
        role="slider"
        tabIndex={0}
        data-testid="filling-time"
        aria-label={fillingWords.time}
        aria-valuemin={0}
        aria-valuemax={end}
        aria-valuenow={now}
        aria-valuetext={text}
        onPointerDown={onPointerDown}
        onPointerMove={onPointerMove}
        onDoubleClick={() => set(end)}
        onKeyDown={onKeyDown}
      >
        <rect x={at - 14} y={0} width={28} height={foot + 8} fill="transparent" />
        <line x1={at} x2={at} y1={9} y2={foot + 8} />
        <path d={`M${at - 8.5} 11A8.5 9.5 0 0 1 ${at + 8.5} 11Z`} />
        <text x={at + (toLeft ? -13 : 13)} y={11.5} textAnchor={toLeft ? 'end' : 'start'}>
          {text}
        </text>
      </g>
    </>
  )
}
