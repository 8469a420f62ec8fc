/** What people said about the fittings: from the owner's copy or typed here; settled or still open. */
import { useState } from 'react'
import { useStore } from 'zustand'
import { addComment, changeComment, removeComment, tryEdit } from '../../state/edit'
import { lengthText } from '../../state/format'
import { timeText } from '../../state/time-text'
import type { PanelProps } from '../actions'
import { FileLink } from '../fields/choice-field'
import { remarkWords } from '../words'

export function Remarks({ stores, actions }: PanelProps) {
  const { comments, fittings } = useStore(stores.jobs, (s) => s.history.job)
  const chosen = useStore(stores.session, (s) => s.fitting)
  const [author, setAuthor] = useState('')
  const [text, setText] = useState('')
  const nameOf = (id: string | null) => fittings.find((f) => f.id === id)?.name
  const asked = useStore(stores.session, (s) => s.asked?.for === 'remark')
  const pointed = useStore(stores.session, (s) => s.remarkAt)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const fitting = pointed ? pointed.fitting : chosen
  const about = nameOf(fitting)
  const add = () => {
    const said = { author: author.trim(), text: text.trim() }
    if (!said.author || !said.text) return
    tryEdit(
      stores.jobs,
      addComment({
        ...said,
        state: 'open',
        at: actions.now(),
        where: pointed?.where ?? null,
        fitting: about ? fitting : null,
      }),
    )
    setText('')
    stores.session.setState({ remarkAt: null })
  }
  return (
    <section className="slip-part" aria-label={remarkWords.title} data-testid="remarks">
      <h3>{remarkWords.title}</h3>
      {comments.length === 0 && <p className="field-hint">{remarkWords.none}</p>}
      <ul className="rows">
        {comments.map((c, i) => (
          <li key={c.id} className="remark" data-state={c.state}>
            <span>
              {i + 1} {c.text}
              <span className="field-hint">
                {c.author}, {timeText(c.at)}
                {c.fitting && nameOf(c.fitting) ? `, ${remarkWords.about(nameOf(c.fitting)!)}` : ''}
                {c.state === 'settled' ? `, ${remarkWords.settle}` : ''}
              </span>
            </span>
            <span className="links">
              <button
                type="button"
                className="link"
                onClick={() =>
                  tryEdit(stores.jobs, changeComment(c.id, { state: c.state === 'open' ? 'settled' : 'open' }))
                }
              >
                {c.state === 'open' ? remarkWords.settle : remarkWords.reopen}
              </button>
              <button type="button" className="link" onClick={() => tryEdit(stores.jobs, removeComment(c.id))}>
                {remarkWords.remove}
              </button>
            </span>
          </li>
        ))}
      </ul>
      <div className="field text-field">
        <label htmlFor="remark-author">{remarkWords.author}</label>
        <input
          id="remark-author"
          value={author}
          maxLength={100}
          data-testid="remark-author"
          onChange={(e) => setAuthor(e.target.value)}
        />
      </div>
      <div className="field text-field">
        <label htmlFor="remark-text">{remarkWords.text}</label>
        <input
          id="remark-text"
          value={text}
          maxLength={2000}
          data-testid="remark-text"
          onChange={(e) => setText(e.target.value)}
          onKeyDown={(e) => e.key === 'Enter' && add()}
        />
        {about && <span className="field-hint">{remarkWords.about(about)}</span>}
        {pointed && (
          <span className="field-hint" data-testid="remark-place">
            {remarkWords.at(pointed.where.map((v) => lengthText(v, unit)).join(', '))}
          </span>
        )}
      </div>
      <p className="links">
        {asked ? (
          <>
            <span className="field-hint" aria-live="polite">
              {remarkWords.pointHint}
            </span>
            <button type="button" className="link" onClick={() => stores.session.setState({ asked: null })}>
              {remarkWords.pointNot}
            </button>
          </>
        ) : (
          <button
            type="button"
            className="link"
            data-testid="remark-point"
            onClick={() =>
              stores.session.setState(pointed ? { remarkAt: null } : { asked: { for: 'remark' }, question: 'live' })
            }
          >
            {pointed ? remarkWords.noPlace : remarkWords.point}
          </button>
        )}
        <button
          type="button"
          className="link"
          data-testid="remark-add"
          disabled={!author.trim() || !text.trim()}
          onClick={add}
        >
          {remarkWords.add}
        </button>
        <FileLink accept=".json" testId="choose-remarks" onFiles={(files) => actions.takeFiles(files, 'ask')}>
          {remarkWords.take}
        </FileLink>
      </p>
    </section>
  )
}
