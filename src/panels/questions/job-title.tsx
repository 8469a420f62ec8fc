import { useState } from 'react'
import { useStore } from 'zustand'
import { setTitle } from '../../state/edit'
import type { Stores } from '../../state/stores'
import { columnWords } from '../words'

/** The job's name, which is changed by clicking it, and its revision. */
export function JobTitle({ stores }: { stores: Stores }) {
  const title = useStore(stores.jobs, (s) => s.history.job.title)
  const revision = useStore(stores.jobs, (s) => s.history.job.release.revision)
  const [draft, setDraft] = useState<string | null>(null)
  const close = (keep: boolean) => {
    const next = draft?.trim()
    if (keep && next && next !== title) stores.jobs.getState().edit(setTitle(next.slice(0, 200)))
    setDraft(null)
  }
  return (
    <h1 className="job-title">
      {draft === null ? (
        <button type="button" data-testid="job-title" title={columnWords.rename} onClick={() => setDraft(title)}>
          {title}
        </button>
      ) : (
        <input
          // The field stands where the name stood, so the caret belongs in it at once.
          ref={(field) => field?.focus()}
          aria-label={columnWords.jobName}
          value={draft}
          maxLength={200}
          onChange={(event) => setDraft(event.target.value)}
          onBlur={() => close(true)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') close(true)
            if (event.key === 'Escape') close(false)
          }}
        />
      )}
      <span className="job-revision">{columnWords.revision(revision)}</span>
    </h1>
  )
}
