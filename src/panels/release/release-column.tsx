import { useMemo, useState } from 'react'
import { useStore } from 'zustand'
import type { Finding } from '../../core/geometry/trouble'
import { plannedOf } from '../../core/job'
import { headlines, revisionDifference } from '../../core/release/revision'
import { type Answer, isWaived, questionOfStep } from '../../state/answers'
import { tryEdit, unwaive, waive } from '../../state/edit'
import { resultsAtHand } from '../../state/results'
import { timeText } from '../../state/time-text'
import type { Actions, PanelProps } from '../actions'
import { FindingLine } from '../findings/findings'
import { columnWords, releaseWords } from '../words'

/** Holds with whom they ask and the way to waive them; then what the pack will hold. */
export function ReleaseColumn({ stores, actions, answer }: PanelProps & { answer: Answer }) {
  return (
    <>
      <ol className="findings holds" data-testid="findings">
        {answer.findings.map((finding, i) => (
          <HoldLine key={finding.id} finding={finding} number={i + 1} stores={stores} actions={actions} />
        ))}
      </ol>
      <Revisions stores={stores} actions={actions} />
      <section className="pack-list">
        <h3>{releaseWords.packHead}</h3>
        <ul className="rows">
          {columnWords.pack.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      </section>
    </>
  )
}

/** Every release that was written, newest first, with what moved against the one before and since. */
function Revisions({ stores, actions }: PanelProps) {
  const job = useStore(stores.jobs, (s) => s.history.job)
  const steps = useStore(stores.results, (s) => s.steps)
  const { revisions } = job.release
  const now = useMemo(
    () => ({ figures: headlines(resultsAtHand(steps)), planned: JSON.parse(JSON.stringify(plannedOf(job))) }),
    [job, steps],
  )
  return (
    <section className="pack-list" data-testid="revisions">
      <h3>{releaseWords.revisions}</h3>
      {revisions.length === 0 && <p className="quiet">{releaseWords.none}</p>}
      {revisions
        .map((r, i) => (
          <details key={`${r.revision} ${r.contentHash}`}>
            <summary>{releaseWords.revision(r.revision, timeText(r.at), r.contentHash.slice(0, 8))}</summary>
            <p className="quiet">{r.signedBy.length > 0 ? r.signedBy.join(', ') : releaseWords.nobody}</p>
            {i > 0 && <Moved title={releaseWords.sinceBefore} lines={revisionDifference(revisions[i - 1]!, r)} />}
            <Moved title={releaseWords.sinceLast} lines={revisionDifference(r, now)} />
            <button
              type="button"
              className="link"
              data-testid={`moved-since-${i}`}
              onClick={() => actions.lookForMoved(r)}
            >
              {releaseWords.showMoved}
            </button>
          </details>
        ))
        .reverse()}
    </section>
  )
}

function Moved({ title, lines }: { title: string; lines: readonly string[] }) {
  return (
    <>
      <h4>{title}</h4>
      <ul className="rows">
        {(lines.length > 0 ? lines : [releaseWords.nothing]).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
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
              {releaseWords.unwaive}
            </button>
          </>
        ) : (
          <>
            {releaseWords.asks(columnWords.questionShort[question], columnWords.role[ASKS[question]])}{' '}
            <button
              type="button"
              className="link"
              aria-expanded={open}
              data-testid={`waive-${finding.id}`}
              onClick={() => setOpen(!open)}
            >
              {releaseWords.waiveIt}
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
        {releaseWords.name}
        <input value={by} maxLength={100} data-testid="waive-by" onChange={(event) => setBy(event.target.value)} />
      </label>
      <label>
        {releaseWords.reason}
        <input
          value={reason}
          maxLength={1000}
          data-testid="waive-reason"
          onChange={(event) => setReason(event.target.value)}
        />
      </label>
      <button type="submit" className="boxed" disabled={!ready} data-testid="waive-do">
        {releaseWords.waive}
      </button>
      {!ready && <span className="field-hint">{releaseWords.bothAsked}</span>}
    </form>
  )
}
