/** The numbers (or names) of the tubes on their axes: what a row of the table is called, and a button that opens that row. */
import { useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { axisInJob, tubeLabel, tubeName } from '../../state/place-words'
import { chooseTube, lightTubes } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { lengthAlong_mm, placeAlong } from '../geometry/tube-lines'
import { useResult } from '../use-drawn'
import { sheetWords } from '../words'
import { asButton } from './as-button'

/** Numbers closer together than this would cover each other: the later ones are left out, but for the keyboard. */
const APART_PX = [22, 17] as const

export function TubeMarks({ stores, rig }: { stores: Stores; rig: EyeRig }) {
  const frame = useResult(stores, 'frame')
  const motion = useResult(stores, 'datum')?.motion ?? null
  const job = useStore(stores.jobs, (s) => s.history.job)
  const chosen = useStore(stores.session, (s) => s.tube)
  const root = useRef<SVGGElement>(null)
  const marks = useMemo(
    () =>
      motion === null
        ? []
        : (frame?.tubes ?? []).map((tube) => {
            const places = axisInJob(tube, motion)
            // A ring has no middle: away from where it was begun, which is often at a joint.
            const share = tube.closed ? 0.12 : 0.5
            return { tube, at: placeAlong(places, tube.closed, share * lengthAlong_mm(places, tube.closed)).at }
          }),
    [frame, motion],
  )
  useEffect(() => {
    const draw = (moment: EyeMoment) => {
      const shown: (readonly number[])[] = []
      const first = marks.findIndex(({ tube }) => tube.id === chosen)
      const order = marks.map((_, i) => i).sort((a, b) => Number(b === first) - Number(a === first))
      for (const i of order) {
        const [x, y] = project(moment.eye, moment.basis, moment.free, marks[i]!.at as Vec3)
        const node = root.current?.children[i] as SVGGElement | undefined
        node?.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
        const crowded = shown.some(([u, v]) => Math.abs(u! - x) < APART_PX[0] && Math.abs(v! - y) < APART_PX[1])
        node?.toggleAttribute('data-crowded', crowded)
        if (!crowded) shown.push([x, y])
      }
    }
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, marks, chosen])
  return (
    <g ref={root} className="tube-marks" data-testid="tube-marks">
      {marks.map(({ tube }) => (
        <g
          key={tube.id}
          data-testid={`tube-mark-${tube.id}`}
          {...asButton(() => chooseTube(stores.session, tube.id))}
          {...pointed(stores, tube.id)}
          {...{
            'aria-label': sheetWords.tubeAt(tubeName(job, tube.id)),
            'aria-pressed': tube.id === chosen,
          }}
        >
          <circle r={13} />
          <text y={5}>{tubeLabel(job, tube.id)}</text>
        </g>
      ))}
    </g>
  )
}

const pointed = ({ session }: Stores, id: string) => {
  const light = () => lightTubes(session, [id])
  const dim = () => lightTubes(session, [])
  return { onPointerEnter: light, onPointerLeave: dim, onFocus: light, onBlur: dim }
}
