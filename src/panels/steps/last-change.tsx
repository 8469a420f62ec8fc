import { useStore } from 'zustand'
import { changeRows } from '../../state/change-figures'
import { describeChange } from '../../state/describe-change'
import type { PanelProps } from '../actions'
import { Rows } from '../figures/rows'
import { lastChangeWords as words } from '../words'

/** The last edit, as before → after, with the figures it moved. */
export function LastChange({ stores, actions }: PanelProps) {
  const history = useStore(stores.jobs, (s) => s.history)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  // The figures of the job as it is now come with its last result.
  const refused = useStore(stores.results, (s) => Object.values(s.steps).some((step) => step.is === 'refused'))
  useStore(stores.results)
  const last = history.past.at(-1)
  if (!last) return null
  const before = actions.figuresOf(last.before)
  const after = actions.figuresOf(history.job)
  const rows = before && after ? changeRows(before, after, unit) : []
  return (
    <section className="last-change" data-testid="last-change">
      <h3>{words.title}</h3>
      <p>{describeChange(last.before, history.job, last.title, unit)}</p>
      {rows.length > 0 && <Rows rows={rows.map((row) => [row.label, row.text] as const)} />}
      {!after && <p className="field-hint">{refused ? words.noPlan : words.busy}</p>}
      <button type="button" className="link" data-testid="put-it-back" onClick={() => stores.jobs.getState().undo()}>
        {words.putBack}
      </button>
    </section>
  )
}
