/** The horizon of a light as a dial: bearings clockwise, the bow to the right, starboard below. */
import type { LightCheck } from '../../core/fitting/types'

/** A place on the dial at a bearing, px from its middle: y runs down, so starboard is below. */
export function onDial(bearing_deg: number, radius_px: number): readonly [number, number] {
  const a = (bearing_deg * Math.PI) / 180
  return [radius_px * Math.cos(a), radius_px * Math.sin(a)]
}

const at = (bearing_deg: number, radius_px: number) =>
  onDial(bearing_deg, radius_px)
    .map((v) => v.toFixed(2))
    .join(' ')

/** An open arc, clockwise. A whole circle is drawn as two halves. */
export function arcPath(from_deg: number, width_deg: number, radius_px: number): string {
  const half = width_deg / 2
  const r = radius_px.toFixed(2)
  return `M${at(from_deg, radius_px)}A${r} ${r} 0 0 1 ${at(from_deg + half, radius_px)}A${r} ${r} 0 0 1 ${at(from_deg + width_deg, radius_px)}`
}

/** A slice from the middle outwards. */
export const slicePath = (from_deg: number, width_deg: number, radius_px: number): string =>
  `M0 0L${arcPath(from_deg, width_deg, radius_px).slice(1)}Z`

/** The light the glass shows: the chosen fitting's own, else the worst. Null: a fitting without a light is chosen, or there is none. */
export function shownLight(lights: readonly LightCheck[], chosen: string | null): LightCheck | null {
  const mine = lights.find((l) => l.id === chosen)
  if (mine || chosen !== null) return mine ?? null
  const rank = { hidden: 3, 'hidden-below': 2, clear: 1, excepted: 0 }
  return lights.reduce<LightCheck | null>((a, b) => {
    if (!a) return b
    const more = rank[b.verdict] - rank[a.verdict] || b.worst.widest_deg - a.worst.widest_deg
    return more > 0 ? b : a
  }, null)
}

/** What is drawn as hidden: the elevation that is judged, or the one below that should be looked at. */
export const shownShadow = (light: LightCheck) => (light.verdict === 'hidden-below' ? light.below : light.worst)
