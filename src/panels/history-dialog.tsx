/** What was done to the job since it was opened, newest first, with what a state and the job as it is read side by side. */
import { useState } from 'react'
import { Button } from 'react-aria-components'
import { useStore } from 'zustand'
import type { Job } from '../core/job'
import { changeRows } from '../state/change-figures'
import { describeChange } from '../state/describe-change'
import type { PanelProps } from './actions'
import { SheetDialog } from './dialogs'
import { Rows } from './figures/rows'
import { historyWords as words } from './words'

interface State {
  readonly job: Job
  readonly title: string
  /** Below 0: so many undos away; above: so many redos. */
  readonly steps: number
}

export function HistoryDialog({ stores, actions, onClose }: PanelProps & { onClose: () => void }) {
  const history = useStore(stores.jobs, (s) => s.history)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const kept = useStore(stores.session, (s) => s.kept?.name ?? null)
  const [chosen, setChosen] = useState<number | null>(null)
  const { past, future, job } = history
  const jobs = [...past.map((p) => p.before), job, ...future.map((f) => f.after)]
  const titles = [words.first, ...past.map((p) => p.title), ...future.map((f) => f.title)]
  const states: State[] = jobs.map((state, i) => ({
    job: state,
    title: i === 0 ? words.first : describeChange(jobs[i - 1]!, state, titles[i]!, unit),
    steps: i - past.length,
  }))
  const go = (steps: number) => {
    const { undo, redo } = stores.jobs.getState()
    for (let i = 0; i < Math.abs(steps); i++) (steps < 0 ? undo : redo)()
    setChosen(null)
  }
  return (
    <SheetDialog title={words.title} onClose={onClose} testId="history-dialog">
      {jobs.length === 1 && <p className="field-hint">{words.none}</p>}
      <ol className="rows history">
        {[...states].reverse().map((state) => (
          <li key={state.steps} aria-current={state.steps === 0 || undefined}>
            <span className={state.steps > 0 ? 'quiet' : ''}>
              {state.title}
              {state.steps === 0 && <b> · {words.now}</b>}
              {state.steps > 0 && ` · ${words.ahead}`}
            </span>
            {state.steps !== 0 && (
              <span className="links">
                <Button
                  className="link"
                  aria-expanded={chosen === state.steps}
                  data-testid={`history-beside${state.steps}`}
                  onPress={() => setChosen(chosen === state.steps ? null : state.steps)}
                >
                  {words.beside}
                </Button>
                <Button
                  className="link"
                  data-testid={`history-draw${state.steps}`}
                  onPress={() => {
                    if (kept === state.title) stores.session.setState({ kept: null })
                    else actions.lookBeside(state.job, state.title)
                    onClose()
                  }}
                >
                  {kept === state.title ? words.drawNoMore : words.draw}
                </Button>
                <Button className="link" data-testid={`history-go${state.steps}`} onPress={() => go(state.steps)}>
                  {state.steps < 0 ? words.goBack : words.goOn}
                </Button>
              </span>
            )}
            {chosen === state.steps && <Beside then={state.job} now={job} actions={actions} unit={unit} />}
          </li>
        ))}
      </ol>
      <p className="links">
        <Button className="link" onPress={onClose}>
          {words.close}
        </Button>
      </p>
    </SheetDialog>
  )
}

/** Figures of that state → figures of the job as it is. */
function Beside(props: { then: Job; now: Job; actions: PanelProps['actions']; unit: 'mm' | 'in' }) {
  const before = props.actions.figuresOf(props.then)
  const after = props.actions.figuresOf(props.now)
  if (!after) return <p className="field-hint">{words.nowUnknown}</p>
  if (!before) return <p className="field-hint">{words.unknown}</p>
  const rows = changeRows(before, after, props.unit)
  if (rows.length === 0) return <p className="field-hint">{words.same}</p>
  return <Rows className="beside" testId="history-figures" rows={rows.map((row) => [row.label, row.text] as const)} />
}
