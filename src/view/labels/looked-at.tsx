/** A dashed ring round the place that the eye was sent to: a stray piece may be dropped, a bad edge too small to be seen. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import type { Stores } from '../../state/stores'
import { project } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'

export function LookedAt({ stores, rig }: { stores: Stores; rig: EyeRig }) {
  const at = useStore(stores.session, (s) => s.lookAt)
  const root = useRef<SVGGElement>(null)
  useEffect(() => {
    if (!at) return
    const draw = ({ eye, basis, free }: EyeMoment) => {
      const [x, y] = project(eye, basis, free, [at[0], at[1], at[2]])
      root.current?.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, at])
  if (!at) return null
  return (
    <g ref={root} className="looked-at" data-testid="looked-at">
      <circle className="casing" r={22} />
      <circle r={22} />
    </g>
  )
}
