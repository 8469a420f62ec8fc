import { useMemo } from 'react'
import { useStore } from 'zustand'
import type { LightCheck } from '../../core/fitting/types'
import { angleText } from '../../state/format'
import { useResult } from '../use-drawn'
import { lightWords } from '../words'
import { GlassFrame, type GlassPlace, type GlassProps } from './glass'
import { arcPath, onDial, shownShadow, slicePath } from './horizon-glass'
import { planHull } from './plan-glass'

/** Rings of the dial, shares of the glass. */
const ARC = 0.78
/** The fittings round the lamp are drawn to this share, so that the ring stays free. */
const NEAR = 0.58

const TICKS = Array.from({ length: 24 }, (_, i) => 15 * i)

/** The horizon of one light: the arc that is asked in blue, what is hidden of it hatched, the fittings round it in plan. */
export function HorizonGlass(props: GlassProps & { glass: GlassPlace; light: LightCheck }) {
  const { stores, sheet, rig, glass, light } = props
  const fitting = useResult(stores, 'fitting')
  const chosen = useStore(stores.session, (s) => s.fitting)
  const hulls = useMemo(
    () => fitting?.placed.map((p) => ({ key: `${p.id}${p.twin}`, id: p.id, hull: planHull(p.mesh) })) ?? [],
    [fitting],
  )
  const of = useMemo(() => ({ at: light.source, round_mm: 60 }), [light.source])
  const { r } = glass
  const reach = useMemo(() => {
    let most = 1
    for (const { hull } of hulls)
      for (const [x, y] of hull) most = Math.max(most, Math.hypot(x - light.source[0], y - light.source[1]))
    return most
  }, [hulls, light.source])
  const k = (r * NEAR) / reach
  const shadow = shownShadow(light)
  const bad = light.verdict === 'hidden' || light.verdict === 'hidden-below'
  const limit = light.limit_deg === null ? lightWords.excepted : lightWords.allowed(angleText(light.limit_deg, 0))
  const hidden = lightWords.hidden(angleText(shadow.widest_deg, 1, 'up'))
  const height = shadow.elevation_deg === 0 ? lightWords.level : lightWords.at(angleText(shadow.elevation_deg, 1))
  return (
    <GlassFrame
      sheet={sheet}
      rig={rig}
      glass={glass}
      title={lightWords.horizon}
      sub={lightWords.of(light.name)}
      of={of}
      label={`${lightWords.horizon} ${lightWords.of(light.name)}: ${hidden}, ${limit}, ${height}`}
    >
      <defs>
        <pattern id="light-hatch" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line className="light-hatch" x1="0" y1="0" x2="0" y2="4" />
        </pattern>
      </defs>
      {TICKS.map((bearing) => {
        const [x1, y1] = onDial(bearing, r)
        const [x2, y2] = onDial(bearing, r - (bearing % 30 === 0 ? 8 : 4))
        return <line key={bearing} className="light-tick" x1={x1} y1={y1} x2={x2} y2={y2} />
      })}
      {hulls.map(({ key, id, hull }) => (
        <path
          key={key}
          className={id === chosen ? 'plan-part chosen' : 'plan-part'}
          d={`M${hull.map(([x, y]) => `${((x - light.source[0]) * k).toFixed(1)} ${(-(y - light.source[1]) * k).toFixed(1)}`).join('L')}Z`}
        />
      ))}
      <path className="light-arc" d={arcPath(light.arc.from_deg, light.arc.width_deg, r * ARC)} />
      {shadow.sectors.map((s) => (
        <path
          key={s.from_deg}
          className={bad ? 'light-hidden fails' : 'light-hidden'}
          d={slicePath(s.from_deg, s.width_deg, r)}
        />
      ))}
      <circle className="light-source" r={4} />
      <text className="glass-note" x={r * 0.66} y={-6} textAnchor="middle">
        {lightWords.ahead}
      </text>
      <text className="glass-note" x={0} y={-r * 0.62} textAnchor="middle">
        {lightWords.port}
      </text>
      <text className={bad ? 'glass-note fails' : 'glass-note'} x={0} y={r * 0.4} textAnchor="middle">
        {hidden}
      </text>
      <text className="glass-note" x={0} y={r * 0.4 + 16} textAnchor="middle">
        {limit}
      </text>
      <text className="glass-note" x={0} y={r * 0.4 + 32} textAnchor="middle">
        {height}
      </text>
    </GlassFrame>
  )
}
