import { useMemo } from 'react'
import { angleText } from '../../state/format'
import { chainPath } from '../section/cut-mesh'
import { useResult } from '../use-drawn'
import { sheetWords } from '../words'
import { draftView } from './draft-glass'
import { GlassFrame, type GlassPlace, type GlassProps } from './glass'

/** The wall with the least draft, cut across, between its own direction and the pull. */
export function DraftGlass(props: GlassProps & { glass: GlassPlace }) {
  const { stores, sheet, rig, glass, part } = props
  const clearance = useResult(stores, 'clearance')
  const analysis = useResult(stores, 'analysis')
  const shell = clearance?.[part] ?? null
  const own = analysis?.parts.find((p) => p.name === part) ?? null
  const view = useMemo(
    () => (shell && own && own.draft.meshId === shell.face.id ? draftView(shell, own, glass.r) : null),
    [shell, own, glass.r],
  )
  const of = useMemo(() => (view ? { at: view.spot, round_mm: glass.r / view.scale.pxPerMm } : null), [view, glass.r])
  if (!view || !own) return null
  const k = view.scale.pxPerMm
  const at = (u: number, v: number): [number, number] => [(u - view.middle[0]) * k, -(v - view.middle[1]) * k]
  const arm = glass.r * 0.72
  const fails = view.draft_deg < 0
  const [wx, wy] = [view.wall[0] * arm, -view.wall[1] * arm]
  const up = -view.pull * arm
  const value = angleText(view.draft_deg, 2, 'down')
  return (
    <GlassFrame
      sheet={sheet}
      rig={rig}
      glass={glass}
      title={sheetWords.glass.draft}
      sub={sheetWords.glass.draftOf(sheetWords.parts[part])}
      of={of}
      label={`${sheetWords.glass.draft} ${value}`}
    >
      <path className="laminate" d={chainPath(view.laminate, at)} />
      <g className={fails ? 'dimension fails' : 'dimension'}>
        <line className="pull-line" x1={0} y1={0} x2={0} y2={up} />
        <path d={`M0 ${up}l-4 ${view.pull * 11}h8Z`} />
        <line x1={0} y1={0} x2={wx} y2={wy} />
        <text x={wx >= 0 ? -10 : 10} y={up * 0.62 + view.pull * 8} textAnchor={wx >= 0 ? 'end' : 'start'}>
          {value}
        </text>
      </g>
      <text className="glass-note" x={wx >= 0 ? -8 : 8} y={up + view.pull * 2} textAnchor={wx >= 0 ? 'end' : 'start'}>
        {sheetWords.glass.pull}
      </text>
      <text className="glass-note" x={0} y={view.pull * (glass.r - 26) + 4} textAnchor="middle">
        {sheetWords.asked(angleText(own.check.draft.limit_deg, 1))}
      </text>
    </GlassFrame>
  )
}
