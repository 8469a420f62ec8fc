import type { ReactNode } from 'react'
import type { Answer } from '../../state/answers'
import type { Actions } from '../actions'
import { columnWords } from '../words'

/** The answer in one or two sentences; beneath it what it is of, and what is being worked out. */
export function AnswerWords({ answer, actions, children }: { answer: Answer; actions: Actions; children?: ReactNode }) {
  const { asOf, busy } = answer
  return (
    <div className="answer">
      <p
        className="answer-sentence"
        data-testid="answer"
        data-standing={answer.standing}
        data-stale={asOf !== null || undefined}
        aria-live="polite"
      >
        {answer.sentence.map(({ text, strong: isStrong }, i) => {
          // A part is known by where it begins in the sentence.
          const at = answer.sentence.slice(0, i).reduce((n, p) => n + p.text.length, 0)
          return isStrong ? <strong key={at}>{text}</strong> : <span key={at}>{text}</span>
        })}{' '}
        {children}
      </p>
      {(asOf || busy || answer.halted) && (
        <div className="answer-state" data-testid="answer-state">
          {asOf && <span>{asOf}</span>}
          <span className="doing">
            {busy && (
              <span className="clip">
                {answer.standing !== 'open' && 'working it out: '}
                {columnWords.step[busy.step]}
                {busy.label && busy.label !== busy.step ? `, ${busy.label}` : ''}{' '}
                {busy.fraction > 0 && `${Math.floor(busy.fraction * 100)} %`}
              </span>
            )}
            {busy && (
              <button type="button" className="link" data-testid="stop-work" onClick={() => actions.stopWork()}>
                stop
              </button>
            )}
            {answer.halted && (
              <button type="button" className="link" data-testid="go-on" onClick={() => actions.goOn()}>
                work it out
              </button>
            )}
          </span>
        </div>
      )}
    </div>
  )
}
