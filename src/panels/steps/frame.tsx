import { useState } from 'react'
import { useStore } from 'zustand'
import type { Tube } from '../../core/frame/types'
import type { TubeMark } from '../../core/job'
import { markTube, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import { tubeName } from '../../state/place-words'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'

/** The tubes that were found; each can be named, marked as bearing, and given a gap of its own. */
export function FrameSlip({ stores }: PanelProps) {
  const made = useStore(stores.results, (s) => s.steps.frame.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const job = useStore(stores.jobs, (s) => s.history.job)
  const [open, setOpen] = useState<string | null>(null)
  if (!made) return <p className="field-hint">no tubes yet</p>
  return (
    <section className="slip-part">
      <p className="field-hint">
        A bearing tube carries the top on its bond line; a clear one keeps the gap. The certificate is always measured
        on the scan itself.
      </p>
      <table className="tubes" data-testid="tubes">
        <thead>
          <tr>
            <th scope="col">tube</th>
            <th scope="col">Ø</th>
            <th scope="col">long</th>
            <th scope="col">rms</th>
            <th scope="col">top</th>
          </tr>
        </thead>
        {made.tubes.map((tube) => (
          <TubeRow
            key={tube.id}
            tube={tube}
            name={tubeName(job, tube.id)}
            mark={job.frame.tubes[tube.id] ?? { role: 'clear', gap_mm: null }}
            unit={unit}
            open={open === tube.id}
            onOpen={() => setOpen(open === tube.id ? null : tube.id)}
            onMark={(mark) => tryEdit(stores.jobs, markTube(tube.id, mark))}
          />
        ))}
      </table>
      {made.plates.length > 0 && (
        <p className="field-hint">
          {made.plates.length} flat {made.plates.length === 1 ? 'plate' : 'plates'} besides
        </p>
      )}
    </section>
  )
}

function TubeRow(props: {
  tube: Tube
  name: string
  mark: TubeMark
  unit: ShownUnit
  open: boolean
  onOpen: () => void
  onMark: (mark: TubeMark) => string | null
}) {
  const { tube, mark, unit, onMark } = props
  return (
    <tbody data-testid={`tube-${tube.id}`}>
      <tr data-open={props.open || undefined}>
        <th scope="row">
          <button type="button" className="link" aria-expanded={props.open} onClick={props.onOpen}>
            {props.name}
          </button>
          <span className="quiet">{tube.closed ? ' ring' : tube.straight ? '' : ' bent'}</span>
        </th>
        <td>{lengthText(tube.diameter_mm, unit, 1).replace(/ (mm|in)$/, '')}</td>
        <td>{lengthText(tube.length_mm, unit, 0).replace(/ (mm|in)$/, '')}</td>
        <td>{lengthText(tube.rms_mm, unit, 2).replace(/ (mm|in)$/, '')}</td>
        <td>
          {mark.role}
          {mark.gap_mm !== null && ` ${lengthText(mark.gap_mm, unit)}`}
        </td>
      </tr>
      {props.open && (
        <tr className="tube-fields">
          <td colSpan={5}>
            <ChoiceField
              label="The top"
              value={mark.role}
              choices={[
                ['clear', 'clears it'],
                ['bearing', 'bears on it'],
              ]}
              testId={`tube-${tube.id}-role`}
              onApply={(role) => onMark({ ...mark, role })}
            />
            <MeasureField
              label="Gap of its own"
              value={mark.gap_mm}
              whenNull={mark.role === 'bearing' ? 'bond line' : 'the job’s'}
              kind="length"
              unit={unit}
              small
              testId={`tube-${tube.id}-gap`}
              onApply={(gap_mm) => onMark({ ...mark, gap_mm })}
            />
            <TextField
              label="Name"
              value={mark.name ?? ''}
              most={100}
              testId={`tube-${tube.id}-name`}
              onApply={(name) =>
                onMark({ role: mark.role, gap_mm: mark.gap_mm, ...(name.trim() ? { name: name.trim() } : {}) })
              }
            />
          </td>
        </tr>
      )}
    </tbody>
  )
}
