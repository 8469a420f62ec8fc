import { useEffect } from 'react'
import { useStore } from 'zustand'
import { markTube, tryEdit } from '../../state/edit'
import { chooseTube, lightTubes } from '../../state/session-moves'
import type { PanelProps } from '../actions'
import { frameWords as words } from '../words'
import { TubeRow } from './tube-row'

/** The tubes that were found; each can be named, marked as bearing, and given a gap of its own. */
export function FrameSlip({ stores }: PanelProps) {
  const made = useStore(stores.results, (s) => s.steps.frame.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const open = useStore(stores.session, (s) => s.tube)
  const lit = useStore(stores.session, (s) => s.tubesLit)
  const job = useStore(stores.jobs, (s) => s.history.job)
  useEffect(() => () => lightTubes(stores.session, []), [stores])
  if (!made) return <p className="field-hint">{words.none}</p>
  return (
    <section className="slip-part">
      <p className="field-hint">{words.roles}</p>
      <table className="tubes" data-testid="tubes">
        <caption className="unseen-text">{words.caption(unit)}</caption>
        <thead>
          <tr>
            {(['name', 'diameter', 'length', 'bow', 'rms', 'joins'] as const).map((column) => (
              <th key={column} scope="col">
                {words.columns[column]}
              </th>
            ))}
          </tr>
        </thead>
        {made.tubes.map((tube) => (
          <TubeRow
            key={tube.id}
            stores={stores}
            tube={tube}
            job={job}
            unit={unit}
            open={open === tube.id}
            lit={lit.includes(tube.id)}
            notRound={!tube.section && made.findings.some((f) => f.id === `frame.not-round.${tube.id}`)}
            onOpen={() => chooseTube(stores.session, tube.id)}
            onLight={(on) => lightTubes(stores.session, on ? [tube.id] : [])}
            onMark={(mark) => tryEdit(stores.jobs, markTube(tube.id, mark))}
          />
        ))}
      </table>
      {made.plates.length > 0 && <p className="field-hint">{words.plates(made.plates.length)}</p>}
    </section>
  )
}
