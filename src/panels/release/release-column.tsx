import { useState } from 'react'
import { useStore } from 'zustand'
import type { Finding } from '../../core/geometry/trouble'
import { type Answer, isWaived, questionOfStep } from '../../state/answers'
import { tryEdit, unwaive, waive } from '../../state/edit'
import { timeText } from '../../state/time-text'
import type { Actions, PanelProps } from '../actions'
import { FindingLine } from '../findings/findings'
import { columnWords } from '../words'

/** Holds with whom they ask and the way to waive them; then what the pack will hold. */
export function ReleaseColumn({ stores, actions, answer }: PanelProps & { answer: Answer }) {
  return (
    <>
      <ol className="findings holds" data-testid="findings">
        {answer.findings.map((finding, i) => (
          <HoldLine key={finding.id} finding={finding} number={i + 1} stores={stores} actions={actions} />
        ))}
      </ol>
      <section className="pack-list">
        <h3>The pack, when it is released</h3>
        <ul className="rows">
          {columnWords.pack.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
    </>
  )
}

const ASKS = { clear: 'designer', live: 'owner', off: 'toolmaker' } as const

function HoldLine(props: PanelProps & { finding: Finding; number: number }) {
  const { finding, stores, actions } = props
  const waived = useStore(stores.jobs, (s) => isWaived(s.history.job, finding))
  const waiver = useStore(stores.jobs, (s) => s.history.job.release.waivers.find((w) => w.finding === finding.id))
  const [open, setOpen] = useState(false)
  const question = questionOfStep(finding.step)
  return (
    <>
      <FindingLine stores={stores} finding={finding} number={props.number} />
      <li className="hold-more">
        {waived && waiver ? (
          <>
            {waiver.by}, {timeText(waiver.at)}: “{waiver.reason}”{' '}
            <button
              type="button"
              className="link"
              data-testid={`unwaive-${finding.id}`}
              onClick={() => tryEdit(stores.jobs, unwaive(finding.id))}
            >
              let it hold again
            </button>
          </>
        ) : (
          <>
            {columnWords.questionShort[question]} · asks the {ASKS[question]} ·{' '}
            <button
              type="button"
              className="link"
              aria-expanded={open}
              data-testid={`waive-${finding.id}`}
              onClick={() => setOpen(!open)}
            >
              waive it
            </button>
            {open && <WaiveForm finding={finding} stores={stores} actions={actions} onDone={() => setOpen(false)} />}
          </>
        )}
      </li>
    </>
  )
}

function WaiveForm(props: { finding: Finding; stores: PanelProps['stores']; actions: Actions; onDone: () => void }) {
  const [by, setBy] = useState('')
  const [reason, setReason] = useState('')
  const ready = by.trim() !== '' && reason.trim() !== ''
  return (
    <form
      className="waive-form"
      onSubmit={(event) => {
        event.preventDefault()
        if (!ready) return
        const waiver = { finding: props.finding.id, by: by.trim(), reason: reason.trim(), at: props.actions.now() }
        if (tryEdit(props.stores.jobs, waive(waiver)) === null) props.onDone()
      }}
    >
      <label>
        name
        <input value={by} maxLength={100} data-testid="waive-by" onChange={(event) => setBy(event.target.value)} />
      </label>
      <label>
        reason
        <input
          value={reason}
          maxLength={1000}
          data-testid="waive-reason"
          onChange={(event) => setReason(event.target.value)}
        />
      </label>
      <button type="submit" className="boxed" disabled={!ready} data-testid="waive-do">
        Waive
      </button>
      {!ready && <span className="field-hint">a name and a reason are asked</span>}
    </form>
  )
}
