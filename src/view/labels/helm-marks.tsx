/** Bearings along the horizon that the one at the helm sees. */
import { useEffect, useRef } from 'react'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { horizonAt } from '../layers/horizon-layer'
import type { Room } from '../room'
import { helmWords } from '../words'

const STEP_DEG = 30
const BEARINGS = Array.from({ length: 360 / STEP_DEG }, (_, i) => i * STEP_DEG)

export function HelmMarks({ rig, room, eye }: { rig: EyeRig; room: Room; eye: Vec3 }) {
  const root = useRef<SVGGElement>(null)
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      BEARINGS.forEach((bearing, i) => {
        const node = root.current?.children[i] as SVGTextElement | undefined
        if (!node) return
        const [x, y] = project(moment.eye, moment.basis, moment.free, horizonAt(eye, bearing))
        const inSight = moment.eye.central && x > 12 && x < room.width - 12 && y > 40 && y < room.height - 12
        node.style.display = inSight ? '' : 'none'
        node.setAttribute('x', x.toFixed(1))
        node.setAttribute('y', (y + 17).toFixed(1))
      })
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, room, eye])
  return (
    <g ref={root} className="floor-numbers helm-bearings">
      {BEARINGS.map((bearing) => (
        <text key={bearing} textAnchor="middle">
          {helmWords.bearing(bearing)}
        </text>
      ))}
    </g>
  )
}
