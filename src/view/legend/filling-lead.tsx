/** The moment of the filling that the sheet shows: a lead on the legend's scale to drag, and a word to play it. */
import { useEffect } from 'react'
import { useStore } from 'zustand'
import { trimmed } from '../../state/format'
import type { EyeRig } from '../camera/eye-rig'
import { haltFilling, playFilling } from '../layers/filling-play'
import type { SheetMap } from '../maps/sheet-map'
import type { SheetStore } from '../sheet-store'
import { reducedMotion } from '../theme'
import { fillingWords } from '../words'
import { ScaleLead } from './scale-lead'

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
      <ScaleLead
        className="limit moment"
        testId="filling-time"
        label={fillingWords.time}
        text={text}
        from={0}
        to={end}
        now={now}
        step={end / 100}
        at={at}
        foot={foot}
        axis={{ left: pad, width: axis_px, from: scale.from, to: scale.to }}
        toLeft={toLeft}
        onMove={set}
        onKey={(key) => {
          if (key === 'Home') set(0)
          else if (key === 'End') set(end)
          else return false
          return true
        }}
        onReset={() => set(end)}
      />
    </>
  )
}
