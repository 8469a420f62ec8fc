/**
 * Unit, undo, redo, files, saved at, ? in one line of text. "open" and "save" stand here although the page's first drawing
 * had neither: without a word for them only those who know the keys would find files.
 */
import { useStore } from 'zustand'
import { clockText } from '../state/time-text'
import type { PanelProps } from './actions'
import { ALL_FILES } from './fields/choice-field'
import { utilityWords as words } from './words'

export function Utilities({
  stores,
  actions,
  onHelp,
  onHistory,
}: PanelProps & { onHelp: () => void; onHistory: () => void }) {
  const { jobs, session } = stores
  const unit = useStore(session, (s) => s.lengthUnit)
  const savedAt = useStore(session, (s) => s.savedAt)
  const last = useStore(jobs, (s) => s.history.past.at(-1)?.title)
  const next = useStore(jobs, (s) => s.history.future[0]?.title)
  return (
    <div className="utilities">
      <button
        type="button"
        data-testid="unit"
        title={words.showUnit[unit]}
        aria-label={words.unit(unit)}
        onClick={() => session.setState({ lengthUnit: unit === 'mm' ? 'in' : 'mm' })}
      >
        {unit}
      </button>
      <button
        type="button"
        data-testid="undo"
        disabled={last === undefined}
        title={last === undefined ? words.nothingToUndo : words.undo(last)}
        aria-label={words.undo(last ?? '')}
        onClick={() => jobs.getState().undo()}
      >
        <Arrow />
      </button>
      <button
        type="button"
        data-testid="redo"
        disabled={next === undefined}
        title={next === undefined ? words.nothingToRedo : words.redo(next)}
        aria-label={words.redo(next ?? '')}
        onClick={() => jobs.getState().redo()}
      >
        <Arrow mirrored />
      </button>
      <button type="button" data-testid="history" title={words.historyTitle} onClick={onHistory}>
        {words.history}
      </button>
      <button
        type="button"
        data-testid="open"
        title={words.openTitle}
        onClick={() => session.setState({ opening: true })}
      >
        {words.open}
      </button>
      {/* For Ctrl O, which goes straight to the files. */}
      <input
        type="file"
        hidden
        multiple
        accept={ALL_FILES}
        data-testid="open-files"
        onChange={(event) => {
          const files = [...(event.target.files ?? [])]
          event.target.value = ''
          if (files.length > 0) actions.takeFiles(files, 'ask')
        }}
      />
      <button type="button" data-testid="save-file" title={words.saveTitle} onClick={() => actions.saveFile()}>
        {words.save}
      </button>
      <span className="saved-at" data-testid="saved-at">
        {savedAt === null ? words.notSaved : words.saved(clockText(savedAt))}
      </span>
      <button type="button" data-testid="help" aria-label={words.help} onClick={onHelp}>
        ?
      </button>
    </div>
  )
}

const Arrow = ({ mirrored = false }: { mirrored?: boolean }) => (
  <svg viewBox="0 0 20 14" width="20" height="14" aria-hidden="true">
    <g transform={mirrored ? 'matrix(-1 0 0 1 20 0)' : undefined}>
      <path
        d="M7 1L2 5.5L7.6 9M2.4 5.4C9 3.4 16.5 4.6 18 12.6"
        fill="none"
        stroke="currentColor"
        strokeWidth="1.6"
        strokeLinecap="round"
        strokeLinejoin="round"
      />
    </g>
  </svg>
)
