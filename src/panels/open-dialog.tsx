/** Files, and the jobs kept in this browser: name, when, what was answered; open, take away. */
import { useEffect, useState } from 'react'
import { Button } from 'react-aria-components'
import { useStore } from 'zustand'
import type { KeptJob, ToldAnswers } from '../state/browser-store'
import { bytesText, whenText } from '../state/time-text'
import type { PanelProps } from './actions'
import { SheetDialog } from './dialogs'
import { ALL_FILES, FileLink } from './fields/choice-field'
import { columnWords, openWords as words } from './words'

type Listed = Awaited<ReturnType<PanelProps['actions']['keptJobs']>>

export function OpenDialog({ stores, actions }: PanelProps) {
  const open = useStore(stores.jobs, (s) => s.id)
  const [kept, setKept] = useState<Listed | undefined>(undefined)
  const [leaving, setLeaving] = useState<string | null>(null)
  const close = () => stores.session.setState({ opening: false })
  useEffect(() => {
    let here = true
    void actions.keptJobs().then((jobs) => here && setKept(jobs))
    return () => {
      here = false
    }
  }, [actions])
  const takeAway = async (id: string) => {
    setKept(await actions.takeAwayKept(id))
    setLeaving(null)
  }
  const others = kept?.jobs.filter((job) => job.id !== open) ?? []
  return (
    <SheetDialog title={words.title} onClose={close} testId="open-dialog">
      <FileLink
        accept={ALL_FILES}
        multiple
        testId="choose-files"
        boxed
        onFiles={(files) => {
          close()
          actions.takeFiles(files, 'ask')
        }}
      >
        {words.files}
      </FileLink>
      <p className="field-hint">{words.filesHint}</p>
      <h3>{words.kept}</h3>
      {kept === null && <p className="field-hint">{words.nothingKept}</p>}
      {kept && others.length === 0 && <p className="field-hint">{words.none}</p>}
      <ul className="rows kept-jobs">
        {others.map((job) => (
          <li key={job.id} data-testid="kept-job">
            <span className="kept-name">
              <b>{job.title}</b>
              <span className="quiet">
                {' '}
                {whenText(job.savedAt, Date.parse(actions.now()))} · {bytesText(job.bytes)}
              </span>
              <span className="kept-answers">{job.id === kept?.current ? words.elsewhere : <Told job={job} />}</span>
            </span>
            {leaving === job.id ? (
              <span className="links">
                <Button className="link fault" autoFocus data-testid="kept-gone" onPress={() => void takeAway(job.id)}>
                  {words.forGood}
                </Button>
                <Button className="link" onPress={() => setLeaving(null)}>
                  {words.keep}
                </Button>
              </span>
            ) : (
              <span className="links">
                <Button
                  className="link"
                  data-testid="kept-open"
                  aria-label={words.openNamed(job.title)}
                  onPress={() => {
                    close()
                    actions.openKept(job.id)
                  }}
                >
                  {words.open}
                </Button>
                {job.id !== kept?.current && (
                  <Button
                    className="link"
                    data-testid="kept-take-away"
                    aria-label={words.takeAwayNamed(job.title)}
                    onPress={() => setLeaving(job.id)}
                  >
                    {words.takeAway}
                  </Button>
                )}
              </span>
            )}
          </li>
        ))}
      </ul>
      <p className="field-hint">{words.keptHint(kept?.most ?? 0)}</p>
      <p className="links">
        <Button
          className="link"
          data-testid="open-the-demo"
          onPress={() => {
            close()
            actions.openDemo()
          }}
        >
          {words.demo}
        </Button>
        <Button className="link" onPress={close}>
          {words.close}
        </Button>
      </p>
    </SheetDialog>
  )
}

const ORDER: readonly (keyof ToldAnswers)[] = ['clear', 'live', 'off']

function Told({ job: { answers } }: { job: KeptJob }) {
  if (!answers) return words.notAnswered
  return ORDER.map((question, i) => (
    <span key={question}>
      {i > 0 && ' · '}
      {columnWords.questionShort[question]} {answers[question]}
    </span>
  ))
}
