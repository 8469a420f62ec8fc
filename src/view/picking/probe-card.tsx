/** The card beside the pointer with all fields at the spot. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import { resultsAtHand } from '../../state/results'
import type { Stores } from '../../state/stores'
import type { Room } from '../room'
import type { SheetStore } from '../sheet-store'
import { probeFields } from './probe-fields'

export function ProbeCard({ stores, sheet, room }: { stores: Stores; sheet: SheetStore; room: Room }) {
  const hover = useStore(sheet, (s) => s.hover)
  const steps = useStore(stores.results, (s) => s.steps)
  const job = useStore(stores.jobs, (s) => s.history.job)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const probe = useMemo(
    () => (hover ? probeFields(hover, resultsAtHand(steps), job, unit) : null),
    [hover, steps, job, unit],
  )
  if (!hover || !probe) return null
  const high = 34 + probe.lines.length * 20
  const left = hover.x + 20 + 190 > room.width ? hover.x - 20 - 180 : hover.x + 20
  const top = Math.min(Math.max(hover.y + 18, 8), room.height - high - 8)
  return (
    <div className="probe" style={{ left, top }} role="status">
      <b>{probe.title}</b>
      <dl>
        {probe.lines.map((line) => (
          <div key={line.name} className={line.bad ? 'bad' : ''}>
            <dt>{line.name}</dt>
            <dd>{line.value}</dd>
          </div>
        ))}
      </dl>
    </div>
  )
}
