import { useId, useState } from 'react'
import { useStore } from 'zustand'
import type { Finding } from '../../core/geometry/trouble'
import { isWaived } from '../../state/answers'
import { takeRemedy, tryEdit } from '../../state/edit'
import { chooseFinding } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { columnWords } from '../words'

/** How many are shown before the rest is folded. */
const SHOWN = 3

/** Findings, worst first; a click flies to the spot and cuts the section there. */
export function Findings({
  stores,
  findings,
  shown = SHOWN,
}: {
  stores: Stores
  findings: readonly Finding[]
  shown?: number
}) {
  const [open, setOpen] = useState(false)
  const list = useId()
  if (findings.length === 0) return null
  const visible = open ? findings : findings.slice(0, shown)
  const more = findings.length - shown
  return (
    <>
      <ol className="findings" data-testid="findings" id={list}>
        {visible.map((finding, i) => (
          <FindingLine key={finding.id} stores={stores} finding={finding} number={i + 1} />
        ))}
      </ol>
      {more > 0 && (
        <button
          type="button"
          className="link more-findings"
          aria-expanded={open}
          aria-controls={list}
          data-testid="more-findings"
          onClick={() => setOpen(!open)}
        >
          {open ? 'fewer' : `${more} more`}
        </button>
      )}
    </>
  )
}

export function FindingLine({ stores, finding, number }: { stores: Stores; finding: Finding; number: number }) {
  const chosen = useStore(stores.session, (s) => s.finding === finding.id)
  const waived = useStore(stores.jobs, (s) => isWaived(s.history.job, finding))
  const hold = finding.severity === 'hold' && !waived
  return (
    <li>
      <button
        type="button"
        className="finding"
        aria-pressed={chosen}
        data-hold={hold || undefined}
        data-testid={`finding-${finding.id}`}
        onClick={() => chooseFinding(stores.session, finding, stores.results.getState().steps)}
      >
        <span className="ring" aria-hidden="true">
          {waived ? '–' : number}
        </span>
        <span className="finding-words">
          <span className="finding-what">
            <b>{waived ? columnWords.waived : columnWords.severity[finding.severity]}</b> {finding.message}
          </span>
          {finding.advice && <span className="finding-advice">{finding.advice}</span>}
        </span>
      </button>
      {finding.remedy && (
        <button
          type="button"
          className="link finding-remedy"
          data-testid={`remedy-${finding.id}`}
          onClick={() => finding.remedy && tryEdit(stores.jobs, takeRemedy(finding.remedy))}
        >
          {finding.remedy.words}
        </button>
      )}
    </li>
  )
}
