/** The release: a page on the sheet, three columns, each with what is signed and a line for the name. */
import { type ReactNode, useState } from 'react'
import { useStore } from 'zustand'
import { CAUTIONS } from '../../core/release/cautions'
import { type Answer, isWaived } from '../../state/answers'
import { tryEdit, unsign } from '../../state/edit'
import type { Question } from '../../state/session-store'
import { coversNow, QUESTION_OF, ROLES, type SignatureState, signatureStates } from '../../state/signature-state'
import { dateText, timeText } from '../../state/time-text'
import type { PanelProps } from '../actions'
import { useAnswers } from '../use-answers'
import { columnWords, releaseWords } from '../words'

export function ReleasePage({
  stores,
  actions,
  still,
}: PanelProps & {
  /** A small still of what is signed. */
  still?: (question: Exclude<Question, 'release'>) => ReactNode
}) {
  const all = useAnswers(stores)
  const history = useStore(stores.jobs, (s) => s.history)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const hash = useStore(stores.results, (s) => s.jobHash)
  const { job } = history
  const states = signatureStates(history, unit)
  const unsigned = states.filter((s) => !s.signature || s.lifted).length
  const hinders = all.release.standing === 'not' ? hindersPack(all) : null
  return (
    <section className="release-page" aria-label={releaseWords.page} data-testid="release-page">
      <header>
        <h2>{job.title}</h2>
        <p>{releaseWords.head(job.release.revision, dateText(actions.now()), hash.slice(0, 8))}</p>
      </header>
      <div className="release-columns">
        {ROLES.map((role, i) => {
          const question = QUESTION_OF[role]
          const answer = all[question]
          return (
            <article key={role}>
              <h3>{columnWords.question[question]}</h3>
              {still && <div className="release-still">{still(question)}</div>}
              <p className="release-answer">
                {answer.sentence.map((p) => p.text).join('')}
                {answer.asOf && <span className="quiet"> ({answer.asOf})</span>}
              </p>
              <dl className="rows">
                {answer.figures.slice(0, 3).map((f) => (
                  <div key={f.id} data-bad={f.bad || undefined}>
                    <dt>{f.label}</dt>
                    <dd>
                      {f.value} {f.unit}
                    </dd>
                  </div>
                ))}
              </dl>
              <SignatureLine state={states[i]!} answer={answer} stores={stores} actions={actions} />
            </article>
          )
        })}
      </div>
      <footer>
        <p>{CAUTIONS.scope}</p>
        <KeyLine stores={stores} actions={actions} />
        <div className="pack-button">
          <span className="field-hint" data-testid="pack-hindered">
            {hinders ?? (unsigned > 0 ? releaseWords.unsigned(unsigned) : '')}
          </span>
          <button
            type="button"
            className="boxed large"
            disabled={hinders !== null}
            data-testid="write-pack"
            onClick={() => actions.writePack()}
          >
            {releaseWords.write}
          </button>
        </div>
      </footer>
    </section>
  )
}

/** A key of one's own: made once, kept in a file, opened before signing. */
function KeyLine({ stores, actions }: PanelProps) {
  const key = useStore(stores.session, (s) => s.key)
  const [name, setName] = useState('')
  if (key)
    return (
      <p className="field-hint" data-testid="key">
        {releaseWords.keyOpen(key.name, key.fingerprint)}
      </p>
    )
  return (
    <form
      className="sign-form"
      onSubmit={(event) => {
        event.preventDefault()
        if (name.trim() !== '') actions.makeKey(name.trim())
      }}
    >
      <span className="field-hint">{releaseWords.keyOffer}</span>
      <input
        aria-label={releaseWords.keyName}
        placeholder={releaseWords.name}
        maxLength={100}
        value={name}
        data-testid="key-name"
        onChange={(event) => setName(event.target.value)}
      />
      <button type="submit" className="boxed" disabled={name.trim() === ''} data-testid="make-key">
        {releaseWords.keyMake}
      </button>
    </form>
  )
}

function hindersPack(all: { readonly [Q in Question]: Answer }): string {
  const holds = all.release.findings.length
  const open = all.clear.asOf ?? all.live.asOf ?? all.off.asOf
  if (all.clear.busy || all.live.busy || all.off.busy) return releaseWords.busy
  if (open) return releaseWords.stale(open)
  return holds > 0 ? releaseWords.holds(holds) : releaseWords.notWhole
}

function SignatureLine({ state, answer, stores, actions }: PanelProps & { state: SignatureState; answer: Answer }) {
  const { role, signature, lifted, because } = state
  const job = useStore(stores.jobs, (s) => s.history.job)
  const [name, setName] = useState('')
  const holds = answer.findings.filter((f) => f.severity === 'hold' && !isWaived(job, f)).length
  const hinders =
    answer.asOf !== null || answer.standing === 'open'
      ? releaseWords.notYet
      : holds > 0
        ? releaseWords.holds(holds)
        : null
  const put = () => {
    const figures = Object.fromEntries(answer.figures.map((f) => [f.label, `${f.value} ${f.unit}`]))
    actions.sign({ role, name: name.trim(), at: actions.now(), covers: coversNow(job, role), figures })
    setName('')
  }
  const broken = useStore(stores.session, (s) => s.brokenSeals.includes(signature?.seal?.value ?? ' '))
  const valid = signature && !lifted && !broken
  return (
    <div className="signature" data-testid={`signature-${role}`} data-lifted={lifted || undefined}>
      <p className="signature-name">{signature ? <span>{signature.name}</span> : ' '}</p>
      <p className="signature-who">
        {signature ? `${signature.name}, ` : ''}
        {columnWords.role[role]}
      </p>
      <p className="field-hint">
        {!signature && releaseWords.notSigned}
        {signature && releaseWords.signed(timeText(signature.at), signature.covers.slice(0, 8))}
        {signature?.seal && !broken && releaseWords.withKey(signature.seal.publicKey.slice(0, 8))}
        {because !== null && releaseWords.lifted(because)}
        {broken && <b className="bad">{releaseWords.broken}</b>}
      </p>
      {valid ? (
        <button
          type="button"
          className="link"
          data-testid={`unsign-${role}`}
          onClick={() => tryEdit(stores.jobs, unsign(role))}
        >
          {releaseWords.unsign}
        </button>
      ) : (
        <form
          className="sign-form"
          onSubmit={(event) => {
            event.preventDefault()
            if (hinders === null && name.trim() !== '') put()
          }}
        >
          <input
            aria-label={releaseWords.nameOf(columnWords.role[role])}
            placeholder={releaseWords.name}
            maxLength={100}
            value={name}
            data-testid={`sign-name-${role}`}
            onChange={(event) => setName(event.target.value)}
          />
          <button
            type="submit"
            className="boxed"
            disabled={hinders !== null || name.trim() === ''}
            data-testid={`sign-${role}`}
          >
            {releaseWords.sign}
          </button>
          <span className="field-hint">{hinders ?? (name.trim() === '' ? releaseWords.nameAsked : '')}</span>
        </form>
      )}
    </div>
  )
}
