import { useStore } from 'zustand'
import type { Stores } from '../state/stores'

/** One sentence for the person, until the next action. */
export function Notice({ stores }: { stores: Stores }) {
  const notice = useStore(stores.session, (s) => s.notice)
  const defect = useStore(stores.results, (s) => s.defect)
  const shown =
    notice ??
    (defect === null
      ? null
      : { kind: 'defect' as const, text: `The program failed and says: ${defect}. The job is unharmed.` })
  if (!shown) return null
  return (
    <div
      className="notice"
      data-kind={shown.kind}
      role={shown.kind === 'said' ? 'status' : 'alert'}
      data-testid="notice"
    >
      <p>{shown.text}</p>
      {notice?.way && (
        <button
          type="button"
          className="link"
          data-testid="notice-way"
          onClick={() => {
            stores.session.setState({ notice: null })
            notice.way?.go()
          }}
        >
          {notice.way.words}
        </button>
      )}
      {notice && (
        <button type="button" className="link" onClick={() => stores.session.setState({ notice: null })}>
          close
        </button>
      )}
    </div>
  )
}
