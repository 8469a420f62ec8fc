/** A lead on the legend's scale, to be dragged or moved by keys: a limit, or the moment of a filling. */
import type { KeyboardEvent, PointerEvent, ReactNode } from 'react'

interface ScaleLeadProps {
  readonly className: string
  readonly testId?: string
  readonly label: string
  readonly text: string
  readonly from: number
  readonly to: number
  readonly now: number
  /** By how much an arrow key moves it. */
  readonly step: number
  /** Its place, px. */
  readonly at: number
  readonly foot: number
  /** Where the scale begins and how long it is, px, and what it spans. */
  readonly axis: { readonly left: number; readonly width: number; readonly from: number; readonly to: number }
  /** The words stand to its left. */
  readonly toLeft: boolean
  readonly onMove: (value: number) => void
  /** What other keys do; false: nothing. */
  readonly onKey: (key: string) => boolean
  readonly onReset: () => void
  /** Marks behind the lead. */
  readonly children?: ReactNode
}

export function ScaleLead(props: ScaleLeadProps) {
  const { at, foot, axis, toLeft, now, step, onMove } = props
  const onPointerDown = (e: PointerEvent<SVGGElement>) => {
    e.preventDefault()
    e.currentTarget.focus()
    e.currentTarget.setPointerCapture(e.pointerId)
  }
  const onPointerMove = (e: PointerEvent<SVGGElement>) => {
    if (!e.currentTarget.hasPointerCapture(e.pointerId)) return
    const left = e.currentTarget.ownerSVGElement?.getBoundingClientRect().left ?? 0
    onMove(axis.from + ((e.clientX - left - axis.left) / axis.width) * (axis.to - axis.from))
  }
  const onKeyDown = (e: KeyboardEvent) => {
    const by = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -10, PageUp: 10 }[e.key]
    if (by !== undefined) onMove(now + by * step)
    else if (!props.onKey(e.key)) return
    e.preventDefault()
    e.stopPropagation()
  }
  return (
    <g
      className={props.className}
      role="slider"
      tabIndex={0}
      data-testid={props.testId}
      aria-label={props.label}
      aria-valuemin={props.from}
      aria-valuemax={props.to}
      aria-valuenow={now}
      aria-valuetext={props.text}
      onPointerDown={onPointerDown}
      onPointerMove={onPointerMove}
      onDoubleClick={props.onReset}
      onKeyDown={onKeyDown}
    >
      <rect x={at - 14} y={0} width={28} height={foot + 8} fill="transparent" />
      {props.children}
      <line x1={at} x2={at} y1={9} y2={foot + 8} />
      <path d={`M${at - 8.5} 11A8.5 9.5 0 0 1 ${at + 8.5} 11Z`} />
      <text x={at + (toLeft ? -13 : 13)} y={11.5} textAnchor={toLeft ? 'end' : 'start'}>
        {props.text}
      </text>
    </g>
  )
}
