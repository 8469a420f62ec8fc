import { useMemo } from 'react'
import { useStore } from 'zustand'
import { lengthText } from '../../state/format'
import { useResult } from '../use-drawn'
import { sheetWords } from '../words'
import { GlassFrame, type GlassPlace, type GlassProps } from './glass'
import { planView } from './plan-glass'

/** Plan of the fittings, the bow to the right, starboard below: round the chosen one, else the whole top. */
export function PlanGlass(props: GlassProps & { glass: GlassPlace }) {
  const { stores, sheet, rig, glass } = props
  const fitting = useResult(stores, 'fitting')
  const clearance = useResult(stores, 'clearance')
  const chosenId = useStore(stores.session, (s) => s.fitting)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const view = useMemo(
    () => (fitting && clearance ? planView(fitting.placed, chosenId, clearance.outline, glass.r) : null),
    [fitting, clearance, chosenId, glass.r],
  )
  const of = useMemo(
    () => (view?.chosen ? { at: view.chosen.seat.at, round_mm: glass.r / view.scale.pxPerMm } : null),
    [view, glass.r],
  )
  if (!view || !clearance) return null
  const k = view.scale.pxPerMm
  const at = (x: number, y: number): [number, number] => [(x - view.middle[0]) * k, -(y - view.middle[1]) * k]
  const path = (points: readonly (readonly [number, number])[]) =>
    `${points
      .map(
        ([x, y], i) =>
          `${i === 0 ? 'M' : 'L'}${at(x, y)
            .map((v) => v.toFixed(1))
            .join(' ')}`,
      )
      .join('')}Z`
  const rim = Array.from({ length: clearance.outline.length / 2 }, (_, i): readonly [number, number] => [
    clearance.outline[i * 2]!,
    clearance.outline[i * 2 + 1]!,
  ])
  const { chosen } = view
  const distance = chosen && lengthText(chosen.toFrame.min_mm, unit, unit === 'mm' ? 1 : undefined, 'down')
  const ratio = view.scale.ratio.join(' : ')
  return (
    <GlassFrame
      sheet={sheet}
      rig={rig}
      glass={glass}
      title={sheetWords.glass.plan}
      sub={chosen ? `${sheetWords.glass.planOf(chosen.name)}, ${ratio}` : `${ratio}, ${sheetWords.glass.bowRight}`}
      of={of}
      label={`${sheetWords.glass.plan}${chosen ? ` ${sheetWords.glass.planOf(chosen.name)}` : ''}`}
    >
      <path className="plan-rim" d={path(rim)} />
      <line className="plan-centre" x1={-400} x2={400} y1={at(0, 0)[1]} y2={at(0, 0)[1]} />
      {view.outlines.map(({ fitting: f, hull }) => (
        <path
          key={`${f.id}${f.twin}`}
          className={f.id === chosenId ? 'plan-part chosen' : 'plan-part'}
          d={path(hull)}
        />
      ))}
      {chosen && <line className="plan-frame" {...segment(at, chosen.toFrame.part, chosen.toFrame.frame)} />}
      <path className="plan-ahead" d={`M${glass.r - 5} ${at(0, 0)[1]}l-11 -4v8Z`} />
      <text className="glass-note" x={0} y={-glass.r + 22} textAnchor="middle">
        {sheetWords.portSide}
      </text>
      <text className="glass-note" x={0} y={glass.r - 13} textAnchor="middle">
        {distance ? sheetWords.glass.toFrame(distance) : sheetWords.starboardSide}
      </text>
    </GlassFrame>
  )
}

function segment(
  at: (x: number, y: number) => [number, number],
  a: readonly number[],
  b: readonly number[],
): { x1: number; y1: number; x2: number; y2: number } {
  const [x1, y1] = at(a[0]!, a[1]!)
  const [x2, y2] = at(b[0]!, b[1]!)
  return { x1, y1, x2, y2 }
}
