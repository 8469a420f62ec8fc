/** What people said about the fittings: from the owner's copy or typed here; settled or still open. */
import { useState } from 'react'
import { useStore } from 'zustand'
import type { Point } from '../../core/geometry/axes'
import type { JobComment } from '../../core/job'
import { addComment, changeComment, removeComment, tryEdit } from '../../state/edit'
import type { Stores } from '../../state/stores'
import { timeText } from '../../state/time-text'
import type { PanelProps } from '../actions'
import { FileLink, TextField } from '../fields/choice-field'
import { remarkWords } from '../words'
import { readCorners } from './seat'

export function Remarks({ stores, actions }: PanelProps) {
  const { comments, fittings } = useStore(stores.jobs, (s) => s.history.job)
  const chosen = useStore(stores.session, (s) => s.fitting)
  const [author, setAuthor] = useState('')
  const [text, setText] = useState('')
  const nameOf = (id: string | null) => fittings.find((f) => f.id === id)?.name
  const asked = useStore(stores.session, (s) => s.asked?.for === 'remark' && s.asked.remark === undefined)
  const pointed = useStore(stores.session, (s) => s.remarkAt)
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
          <OneRemark key={c.id} remark={c} number={i + 1} about={nameOf(c.fitting)} stores={stores} />
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
      </div>
      <PlaceField
        place={pointed?.where ?? null}
        testId="remark-place"
        onApply={(where) =>
          stores.session.setState({ remarkAt: where && { where, fitting: pointed?.fitting ?? chosen ?? null } })
        }
      />
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

function OneRemark(props: { remark: JobComment; number: number; about: string | undefined; stores: Stores }) {
  const { remark, number, about, stores } = props
  const [open, setOpen] = useState(false)
  const asked = useStore(stores.session, (s) => s.asked?.for === 'remark' && s.asked.remark === remark.id)
  const change = (to: Partial<Omit<JobComment, 'id'>>) => tryEdit(stores.jobs, changeComment(remark.id, to))
  const { where } = remark
  return (
    <li className="remark" data-state={remark.state}>
      <span>
        {number} {remark.text}
        <span className="field-hint">
          {remark.author}, {timeText(remark.at)}
          {about ? `, ${remarkWords.about(about)}` : ''}
          {remark.state === 'settled' ? `, ${remarkWords.settle}` : ''}
        </span>
      </span>
      <span className="links">
        <button
          type="button"
          className="link"
          onClick={() => change({ state: remark.state === 'open' ? 'settled' : 'open' })}
        >
          {remark.state === 'open' ? remarkWords.settle : remarkWords.reopen}
        </button>
        <button
          type="button"
          className="link"
          aria-expanded={open}
          data-testid={`move-${remark.id}`}
          onClick={() => setOpen(!open)}
        >
          {open ? remarkWords.done : remarkWords.move}
        </button>
        <button type="button" className="link" onClick={() => tryEdit(stores.jobs, removeComment(remark.id))}>
          {remarkWords.remove}
        </button>
      </span>
      {open && (
        <>
          <PlaceField
            place={where && [where[0], where[1], where[2]]}
            testId={`place-${remark.id}`}
            onApply={(to) => change({ where: to && [to[0], to[1], to[2]] })}
          />
          <p className="links">
            {asked && (
              <span className="field-hint" aria-live="polite">
                {remarkWords.pointHint}
              </span>
            )}
            <button
              type="button"
              className="link"
              onClick={() =>
                stores.session.setState(
                  asked ? { asked: null } : { asked: { for: 'remark', remark: remark.id }, question: 'live' },
                )
              }
            >
              {asked ? remarkWords.pointNot : remarkWords.movePoint}
            </button>
          </p>
        </>
      )}
    </li>
  )
}

/** A place typed as three numbers of job axes. */
function PlaceField(props: {
  place: Point<'job'> | null
  testId: string
  onApply: (place: Point<'job'> | null) => unknown
}) {
  const [fault, setFault] = useState('')
  return (
    <TextField
      label={remarkWords.place}
      value={props.place?.join(', ') ?? ''}
      hint={fault || remarkWords.placeHint}
      most={100}
      testId={props.testId}
      onApply={(text) => {
        const typed = readCorners(text, 3)
        const [x, y, z] = typed?.length === 1 ? typed[0]! : []
        const empty = text.trim() === ''
        if (!empty && (x === undefined || y === undefined || z === undefined)) return setFault(remarkWords.notPlace)
        const answer = props.onApply(empty ? null : [x!, y!, z!])
        setFault(typeof answer === 'string' ? answer : '')
      }}
    />
  )
}
