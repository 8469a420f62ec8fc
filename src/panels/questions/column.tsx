/** The three questions and the release, always in this order; the one being asked is open, the others show their answer. */
import { type ReactNode, useState } from 'react'
import { useStore } from 'zustand'
import { type Answer, QUESTIONS } from '../../state/answers'
import { askQuestion } from '../../state/session-moves'
import type { PanelProps } from '../actions'
import { ChalkLine } from '../chalk-line'
import { Figures } from '../figures/figures'
import { Findings } from '../findings/findings'
import { ReleaseColumn } from '../release/release-column'
import { useAnswers } from '../use-answers'
import { columnWords } from '../words'
import { AnswerWords } from './answer-words'
import { JobTitle } from './job-title'

export function Column({ stores, actions, children }: PanelProps & { children?: ReactNode }) {
  const all = useAnswers(stores)
  const asked = useStore(stores.session, (s) => s.question)
  const [unfolded, setUnfolded] = useState(false)
  const before = QUESTIONS.indexOf(asked)
  return (
    <section className="column" aria-label={columnWords.questions} data-unfolded={unfolded || undefined}>
      <div className="column-head">
        <JobTitle stores={stores} />
        {children}
      </div>
      {QUESTIONS.map((question, i) => {
        const answer = all[question]
        const open = question === asked
        return (
          <div
            key={question}
            className="question"
            data-open={open || undefined}
            data-first-after={i === before + 1 || undefined}
          >
            <h2 className="question-name">
              <button
                type="button"
                aria-expanded={open}
                aria-controls={`answer-${question}`}
                data-testid={`question-${question}`}
                onClick={() => askQuestion(stores.session, question)}
              >
                <span className="wide-only">
                  {open ? columnWords.question[question] : columnWords.questionShort[question]}
                </span>
                <span className="narrow-only">{columnWords.questionShort[question]}</span>
                {!open && (
                  <span
                    className="short-answer"
                    data-bad={isBad(answer) || undefined}
                    data-testid={`short-${question}`}
                  >
                    {shortOf(answer)}
                  </span>
                )}
              </button>
              {open && <ChalkLine />}
            </h2>
            <div className="question-body" id={`answer-${question}`} hidden={!open}>
              {open && (
                <>
                  <AnswerWords answer={answer} actions={actions}>
                    {(answer.findings.length > 0 || answer.figures.length > 0) && (
                      <button
                        type="button"
                        className="link narrow-only unfold"
                        aria-expanded={unfolded}
                        data-testid="unfold"
                        onClick={() => setUnfolded(!unfolded)}
                      >
                        {unfolded ? 'fold' : columnWords.findings(answer.findings.length)}
                      </button>
                    )}
                  </AnswerWords>
                  <div className="question-rest">
                    <Figures figures={answer.figures} stale={answer.asOf !== null} />
                    {question === 'release' ? (
                      <ReleaseColumn stores={stores} actions={actions} answer={answer} />
                    ) : (
                      <Findings stores={stores} findings={answer.findings} />
                    )}
                  </div>
                </>
              )}
            </div>
          </div>
        )
      })}
    </section>
  )
}

/** The chip on a closed question: the answer, or that it is being worked out. */
const shortOf = (answer: Answer): string => (answer.busy && answer.asOf === null ? columnWords.busy : answer.short)

/** The release is never in red: what hinders it is, above. */
const isBad = ({ question, standing, asOf }: Answer): boolean =>
  question !== 'release' && (standing === 'not' || standing === 'almost') && asOf === null
