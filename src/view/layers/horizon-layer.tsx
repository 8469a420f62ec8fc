/** The horizon as the one at the helm sees it: level with the eyes, hidden by what stands before it, ticked each ten degrees. */
import { useMemo } from 'react'
import type { Vec3 } from '../camera/eye'
import type { Theme } from '../theme'
import { FatLine } from './fat-line'

/** Far beyond all that is drawn, within the depth of the picture, mm. */
export const HORIZON_MM = 40_000
const TICK_DEG = 10
/** A tick rises so far over the horizon, as seen from the eye. */
const TICK_HIGH = 0.012
const RAD = Math.PI / 180

/** The place of the horizon at a bearing: 0 forward, 90 starboard. */
export const horizonAt = (eye: Vec3, bearing_deg: number): Vec3 => [
  eye[0] + HORIZON_MM * Math.cos(bearing_deg * RAD),
  eye[1] - HORIZON_MM * Math.sin(bearing_deg * RAD),
  eye[2],
]

export function HorizonLayer({ eye, theme }: { eye: Vec3; theme: Theme }) {
  const { ring, ticks } = useMemo(() => {
    const ring = new Float32Array(360 * 6)
    for (let d = 0; d < 360; d++) ring.set([...horizonAt(eye, d), ...horizonAt(eye, d + 1)], d * 6)
    const ticks = new Float32Array((360 / TICK_DEG) * 6)
    for (let d = 0; d < 360; d += TICK_DEG) {
      const [x, y, z] = horizonAt(eye, d)
      ticks.set([x, y, z, x, y, z + TICK_HIGH * HORIZON_MM], (d / TICK_DEG) * 6)
    }
    return { ring, ticks }
  }, [eye])
  return (
    <>
      <FatLine segments={ring} colour={theme.blue} px={1.4} />
      <FatLine segments={ticks} colour={theme.blue} px={1} />
    </>
  )
}
