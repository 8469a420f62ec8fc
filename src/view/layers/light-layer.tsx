/** The arcs that lights must show, and what is hidden of them, as rings in the air at the height of each source. */
import { useMemo } from 'react'
import type { LightCheck } from '../../core/fitting/types'
import { shownShadow } from '../glass/horizon-glass'
import type { Theme } from '../theme'
import { FatLine, runSegments } from './fat-line'

const RADIUS_MM = 420
const STEP_DEG = 3
/** Between two strokes of the hatch, mm from the source outwards. */
const HATCH_MM = 22

export function LightLayer({ lights, theme }: { lights: readonly LightCheck[]; theme: Theme }) {
  return lights.map((light) => <LightRing key={`${light.id}${light.twin}`} light={light} theme={theme} />)
}

function LightRing({ light, theme }: { light: LightCheck; theme: Theme }) {
  const ring = useMemo(() => runSegments(arcPoints(light, light.arc.from_deg, light.arc.width_deg, RADIUS_MM)), [light])
  const bad = light.verdict === 'hidden' || light.verdict === 'hidden-below'
  const hidden = useMemo(() => (bad ? hiddenSegments(light) : new Float32Array()), [light, bad])
  return (
    <>
      <FatLine segments={ring} colour={theme.blue} px={2.2} />
      <FatLine segments={hidden} colour={theme.lead} px={1.8} order={2} />
    </>
  )
}

const place = (light: LightCheck, bearing_deg: number, radius_mm: number): [number, number, number] => {
  const a = (bearing_deg * Math.PI) / 180
  const [x, y, z] = light.source
  // Bearings run clockwise, to starboard.
  return [x + radius_mm * Math.cos(a), y - radius_mm * Math.sin(a), z]
}

function arcPoints(light: LightCheck, from_deg: number, width_deg: number, radius_mm: number) {
  const steps = Math.max(1, Math.ceil(width_deg / STEP_DEG))
  return Array.from({ length: steps + 1 }, (_, i) => place(light, from_deg + (width_deg * i) / steps, radius_mm))
}

/** The edges of each hidden sector, hatched across. */
function hiddenSegments(light: LightCheck): Float32Array {
  const parts = shownShadow(light).sectors.flatMap(({ from_deg, width_deg }) => [
    runSegments([...[light.source], ...arcPoints(light, from_deg, width_deg, RADIUS_MM), ...[light.source]]),
    ...Array.from({ length: Math.floor(RADIUS_MM / HATCH_MM) - 1 }, (_, i) =>
      runSegments(arcPoints(light, from_deg, width_deg, (i + 1) * HATCH_MM)),
    ),
  ])
  const out = new Float32Array(parts.reduce((sum, p) => sum + p.length, 0))
  let at = 0
  for (const p of parts) {
    out.set(p, at)
    at += p.length
  }
  return out
}
