import { useId, useMemo } from 'react'
import { useStore } from 'zustand'
import { lengthFigure, lengthText, settingFigure } from '../../state/format'
import type { Section } from '../../state/session-store'
import type { Vec3 } from '../camera/eye'
import { chainPath, cutMesh } from '../section/cut-mesh'
import { useFrameMesh, useResult } from '../use-drawn'
import { sheetWords } from '../words'
import { GlassFrame, type GlassPlace, type GlassProps } from './glass'
import { sectionView } from './section-glass'

/** Section A–A: metal hatched, laminate solid, the gap with its dimension, what is asked as a dashed line round the metal. */
export function SectionGlass(props: GlassProps & { section: Section; glass: GlassPlace }) {
  const { stores, sheet, rig, section, glass } = props
  const clearance = useResult(stores, 'clearance')
  const frame = useFrameMesh(stores)
  const rough = useStore(stores.session, (s) => s.rough)
  const kept = useStore(stores.session, (s) => s.kept?.face ?? null)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const hatch = useId()
  const outside = useId()
  const view = useMemo(
    () => (clearance && frame ? sectionView(section, clearance, frame, glass.r, rough) : null),
    [clearance, frame, section, glass.r, rough],
  )
  const other = useMemo(() => (kept && view ? cutMesh(kept, view.plane) : []), [kept, view])
  const of = useMemo(() => {
    if (!view) return null
    const [u, v] = view.middle
    const at: Vec3 = view.plane.across === 'x' ? [view.plane.at_mm, u, v] : [u, view.plane.at_mm, v]
    return { at, round_mm: glass.r / view.scale.pxPerMm }
  }, [view, glass.r])
  if (!view || !clearance) return null
  const { required_mm } = clearance.certificate
  const k = view.scale.pxPerMm
  const at = (u: number, v: number): [number, number] => [(u - view.middle[0]) * k, -(v - view.middle[1]) * k]
  const metal = chainPath(view.frame, at)
  // At a hole of the scan the section stays open, and what is open is not filled.
  const solidMetal = chainPath(
    view.frame.filter((chain) => chain.closed),
    at,
  )
  const dimension = view.dimension && {
    a: at(...view.dimension.shell),
    b: at(...view.dimension.frame),
    fails: view.dimension.mm < required_mm,
    text: lengthFigure(view.dimension.mm, unit, unit === 'mm' ? { digits: 1, round: 'down' } : { round: 'down' }).value,
  }
  const place = lengthText(view.plane.at_mm, unit, unit === 'mm' ? 0 : undefined)
  const axis = view.plane.across
  return (
    <GlassFrame
      sheet={sheet}
      rig={rig}
      glass={glass}
      title={rough ? sheetWords.roughSection : sheetWords.section}
      sub={sheetWords.sectionAt(axis, place.replace(/ mm$/, ''), view.scale.ratio.join(' : '))}
      of={of}
      label={`${sheetWords.section}, ${axis} ${place}${dimension ? `, ${sheetWords.probe.gap} ${dimension.text}` : ''}`}
    >
      <defs>
        <pattern id={hatch} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line className="hatch-line" x1="0" y1="0" x2="0" y2="6" />
        </pattern>
        <mask id={outside} maskUnits="userSpaceOnUse" x={-500} y={-500} width={1000} height={1000}>
          <rect x={-500} y={-500} width={1000} height={1000} fill="#fff" />
          <path d={solidMetal} fill="#000" />
          <path d={metal} fill="none" stroke="#000" strokeWidth={2 * required_mm * k} strokeLinejoin="round" />
          <path className="dash-mask" d={dashRays()} />
        </mask>
      </defs>
      {/* A wide stroke less a slightly narrower one leaves the line at exactly the asked distance. */}
      {!rough && <path className="asked" d={metal} strokeWidth={2 * required_mm * k + 2.6} mask={`url(#${outside})`} />}
      <path className="metal-fill" d={solidMetal} fill={`url(#${hatch})`} />
      <path className="metal" d={metal} fill="none" />
      <path className="laminate" d={chainPath(view.laminate, at)} />
      {other.length > 0 && <path className="kept-line" d={chainPath(other, at)} />}
      {dimension && <Dimension {...dimension} r={glass.r} />}
      {dimension && (
        <text className="glass-note" x={0} y={glass.r - 26} textAnchor="middle">
          {sheetWords.asked(settingFigure(required_mm, unit).value)}
        </text>
      )}
    </GlassFrame>
  )
}

/** Rays across the glass that break the asked line into dashes. */
function dashRays(): string {
  const parts: string[] = []
  for (let x = -420; x <= 420; x += 9) parts.push(`M${x} -420l140 840`)
  return parts.join('')
}

interface DimensionProps {
  readonly a: readonly [number, number]
  readonly b: readonly [number, number]
  readonly fails: boolean
  readonly text: string
  readonly r: number
}

/** Two arrow heads on the points, the line carried on beyond the shell, the number at its end. */
function Dimension({ a, b, fails, text, r }: DimensionProps) {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1
  const ux = (a[0] - b[0]) / length
  const uy = (a[1] - b[1]) / length
  const out = Math.min(34, r * 0.3)
  const end = [a[0] + ux * out, a[1] + uy * out] as const
  const right = end[0] < r * 0.25
  return (
    <g className={fails ? 'dimension fails' : 'dimension'}>
      <line x1={end[0]} y1={end[1]} x2={b[0]} y2={b[1]} />
      <path d={head(a, ux, uy, length)} />
      <path d={head(b, -ux, -uy, length)} />
      <text x={end[0] + (right ? 8 : -8)} y={end[1] + 4} textAnchor={right ? 'start' : 'end'}>
        {text}
      </text>
    </g>
  )
}

function head([x, y]: readonly [number, number], ux: number, uy: number, length: number): string {
  const l = Math.min(8, length * 0.4)
  const w = l * 0.36
  const bx = x - ux * l
  const by = y - uy * l
  return `M${x} ${y}L${bx - uy * w} ${by + ux * w}L${bx + uy * w} ${by - ux * w}Z`
}
