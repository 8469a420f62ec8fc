/** Places picked for the datum while its slip is open, or on two scans that are laid on each other: a ring and a word each. */
import { useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { type Point, transformPoint } from '../../core/geometry/axes'
import { datumMarks } from '../../state/datum-picks'
import { layingShown, layMarks } from '../../state/laying'
import type { Stores } from '../../state/stores'
import { project } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'

export function PickMarks({ stores, rig }: { stores: Stores; rig: EyeRig }) {
  const open = useStore(stores.session, (s) => s.slip === 'datum')
  const picks = useStore(stores.jobs, (s) => s.history.job.datum.picks)
  const asked = useStore(stores.session, (s) => (s.asked?.for === 'datum' ? s.asked : null))
  const motion = useStore(stores.results, (s) => s.steps.datum.result?.motion ?? null)
  const laying = useStore(stores.session, layingShown)
  const marks = useMemo(() => {
    if (laying) return layMarks(laying)
    if (!open && !asked) return []
    const drawn = (p: Point<'scan'>): Point => (motion ? transformPoint(motion, p) : p)
    return datumMarks(picks, asked, drawn)
  }, [laying, open, picks, asked, motion])
  const root = useRef<SVGGElement>(null)
  useEffect(() => {
    const draw = (moment: EyeMoment) =>
      marks.forEach(({ at }, i) => {
        const [x, y] = project(moment.eye, moment.basis, moment.free, [at[0], at[1], at[2]])
        root.current?.children[i]?.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
      })
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, marks])
  return (
    <g ref={root} className="pick-marks" data-testid="pick-marks">
      {marks.map(({ at, words }) => (
        <g key={`${words} ${at.join(' ')}`}>
          <circle r={4.5} />
          <text x={9} y={-7}>
            {words}
          </text>
        </g>
      ))}
    </g>
  )
}
