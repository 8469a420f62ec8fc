/** What people said, pinned to its place: a flag with the number of the remark in the list; settled ones are hollow. */
import { useEffect, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import type { PlacedFitting } from '../../core/fitting/types'
import type { JobComment } from '../../core/job'
import type { Stores } from '../../state/stores'
import { project, type Vec3 } from '../camera/eye'
import type { EyeMoment, EyeRig } from '../camera/eye-rig'
import { sheetWords } from '../words'

export interface RemarkPinsProps {
  readonly stores: Stores
  readonly rig: EyeRig
  readonly placed: readonly PlacedFitting[]
}

/** Where a remark stands: its own place, else the seat of the fitting it is about. */
export function remarkPlace(remark: JobComment, placed: readonly PlacedFitting[]): Vec3 | null {
  if (remark.where) return [remark.where[0], remark.where[1], remark.where[2]]
  const seat = placed.find((p) => p.id === remark.fitting && !p.twin)?.seat
  return seat ? [seat.at[0], seat.at[1], seat.at[2]] : null
}

export function RemarkPins({ stores, rig, placed }: RemarkPinsProps) {
  const comments = useStore(stores.jobs, (s) => s.history.job.comments)
  const root = useRef<SVGGElement>(null)
  const pins = useMemo(
    () =>
      comments.flatMap((remark, i) => {
        const at = remarkPlace(remark, placed)
        return at ? [{ remark, at, number: i + 1 }] : []
      }),
    [comments, placed],
  )
  useEffect(() => {
    const draw = (moment: EyeMoment) =>
      pins.forEach(({ at }, i) => {
        const [x, y] = project(moment.eye, moment.basis, moment.free, at)
        root.current?.children[i]?.setAttribute('transform', `translate(${x.toFixed(1)} ${y.toFixed(1)})`)
      })
    const stop = rig.onPicture(draw)
    draw(rig.now())
    return () => void stop()
  }, [rig, pins])
  return (
    <g ref={root} className="remark-pins" data-testid="remark-pins">
      {pins.map(({ remark, number }) => (
        <g key={remark.id} data-state={remark.state}>
          <title>{sheetWords.remarkAt(number, remark.author, remark.text)}</title>
          <path d="M0 0V-26H20L15 -19.5L20 -13H0" />
          <text x={6} y={-15}>
            {number}
          </text>
        </g>
      ))}
    </g>
  )
}
