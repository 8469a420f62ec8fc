/** The glass: one round detail at the upper right, one per question, with a thin leader to the place it magnifies. */
import { type ReactNode, useEffect, useId, useRef } from 'react'
import { useStore } from 'zustand'
import type { Section } from '../../state/session-store'
import type { Stores } from '../../state/stores'
import { project, scaleAt, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { asButton } from '../labels/as-button'
import type { Room } from '../room'
import type { PartName, SheetStore } from '../sheet-store'
import { useResult } from '../use-drawn'
import { sheetWords } from '../words'
import { DraftGlass } from './draft-picture'
import { shownLight } from './horizon-glass'
import { HorizonGlass } from './horizon-picture'
import { PlanGlass } from './plan-picture'
import { SectionGlass } from './section-picture'

export interface GlassProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly room: Room
  readonly section: Section | null
  readonly part: PartName
}

export interface GlassPlace {
  readonly cx: number
  readonly cy: number
  readonly r: number
}

export function Glass(props: GlassProps) {
  const question = useStore(props.stores.session, (s) => s.question)
  const apart = useStore(props.stores.session, (s) => s.apart)
  const { glass } = props.room
  const chosen = useStore(props.stores.session, (s) => s.fitting)
  const fitting = useResult(props.stores, 'fitting')
  const light = fitting ? shownLight(fitting.lights, chosen) : null
  const outlineOpen = useStore(props.stores.session, (s) => s.slip === 'clearance' && s.view === 'plan')
  const drawn = useStore(props.stores.jobs, (s) => s.history.job.clearance.outline.from === 'polygon')
  // Apart nothing stands where the glass would point to; points of an outline must not lie under it.
  if (!glass || apart || (outlineOpen && drawn)) return null
  if (question === 'clear' && props.section) return <SectionGlass {...props} section={props.section} glass={glass} />
  if (question === 'live')
    return light ? <HorizonGlass {...props} glass={glass} light={light} /> : <PlanGlass {...props} glass={glass} />
  if (question === 'off') return <DraftGlass {...props} glass={glass} />
  return null
}

export interface GlassFrameProps {
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly glass: GlassPlace
  readonly title: string
  readonly sub: string
  /** What it magnifies and how far round it, mm; null: nothing on the drawing. */
  readonly of: { readonly at: Vec3; readonly round_mm: number } | null
  readonly label: string
  readonly children: ReactNode
}

/** Circle, title at its upper left, leader to the spot. The children are drawn about 0, 0 and clipped by the circle. */
export function GlassFrame({ sheet, rig, glass, title, sub, of, label, children }: GlassFrameProps) {
  const { cx, cy, r } = glass
  const clip = useId()
  const mark = useRef<SVGGElement>(null)
  const large = useStore(sheet, (s) => s.glassLarge)
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const node = mark.current
      if (!node) return
      node.style.display = of ? '' : 'none'
      if (of)
        drawMark(
          node,
          { cx, cy, r },
          project(moment.eye, moment.basis, moment.free, of.at),
          of.round_mm * scaleAt(moment.eye, moment.basis, of.at),
        )
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, cx, cy, r, of])
  const toggle = () => sheet.setState({ glassLarge: !large })
  return (
    <g className="glass">
      <g ref={mark} className="glass-mark">
        <line className="casing" />
        <line />
        <circle className="casing" />
        <circle />
      </g>
      <clipPath id={clip}>
        <circle cx={cx} cy={cy} r={r} />
      </clipPath>
      <circle className="glass-ground" cx={cx} cy={cy} r={r} />
      <g clipPath={`url(#${clip})`}>
        <g transform={`translate(${cx} ${cy})`}>{children}</g>
      </g>
      <g
        className="glass-button"
        aria-label={`${label}. ${large ? sheetWords.glass.shrink : sheetWords.glass.enlarge}`}
        {...asButton(toggle)}
      >
        <circle className="glass-rim" cx={cx} cy={cy} r={r} />
      </g>
      <text className="glass-title" x={cx - r * 0.83} y={cy - r * 0.9 + 4} textAnchor="end">
        {title}
      </text>
      <text className="glass-sub" x={cx - r * 0.83} y={cy - r * 0.9 + 22} textAnchor="end">
        {sub}
      </text>
    </g>
  )
}

const LEAST_RING_PX = 14
const MOST_RING_PX = 60

function drawMark(node: SVGGElement, glass: GlassPlace, [x, y]: readonly number[], round_px: number): void {
  const ring = Math.min(Math.max(round_px, LEAST_RING_PX), MOST_RING_PX)
  const dx = x! - glass.cx
  const dy = y! - glass.cy
  const length = Math.hypot(dx, dy)
  node.style.display = length < glass.r + ring ? 'none' : ''
  const [casing, line, ringCasing, circle] = node.children as unknown as SVGElement[]
  for (const l of [casing!, line!]) {
    l.setAttribute('x1', (glass.cx + (dx / length) * glass.r).toFixed(1))
    l.setAttribute('y1', (glass.cy + (dy / length) * glass.r).toFixed(1))
    l.setAttribute('x2', (x! - (dx / length) * ring).toFixed(1))
    l.setAttribute('y2', (y! - (dy / length) * ring).toFixed(1))
  }
  for (const c of [ringCasing!, circle!]) {
    c.setAttribute('cx', x!.toFixed(1))
    c.setAttribute('cy', y!.toFixed(1))
    c.setAttribute('r', ring.toFixed(1))
  }
}
