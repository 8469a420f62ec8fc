import { lazy, Suspense, useCallback, useEffect, useState, useSyncExternalStore } from 'react'
import { useStore } from 'zustand'
import {
  type Actions,
  Batten,
  Column,
  HelpDialog,
  HistoryDialog,
  MeshDialog,
  type MeshQuestion,
  Notice,
  OpenDialog,
  ReleasePage,
  Slip,
  Tour,
  Utilities,
} from '../panels'
import type { Stores } from '../state/stores'
import { listenToKeys } from './keyboard'

/** The drawing arrives by itself: column and batten stand, and the plan begins, while it is still on its way. */
const Sheet = lazy(() => import('../view').then(({ Sheet }) => ({ default: Sheet })))
const SheetStill = lazy(() => import('../view').then(({ SheetStill }) => ({ default: SheetStill })))

export interface AppProps {
  readonly stores: Stores
  readonly actions: Actions
  /** Where the app's own questions about dropped meshes arrive. */
  readonly questions: {
    listen(show: (question: MeshQuestion | null) => void): () => void
  }
  /** Somebody sees the page, with the demo on it, for the first time. */
  readonly firstLook: boolean
}

export function App({ stores, actions, questions, firstLook }: AppProps) {
  const release = useStore(stores.session, (s) => s.question === 'release')
  const slip = useStore(stores.session, (s) => s.slip !== null)
  const opening = useStore(stores.session, (s) => s.opening)
  const title = useStore(stores.jobs, (s) => s.history.job.title)
  const [help, setHelp] = useState(false)
  const [tour, setTour] = useState(firstLook)
  const endTour = useCallback(() => setTour(false), [])
  const [past, setPast] = useState(false)
  const [question, setQuestion] = useState<MeshQuestion | null>(null)
  const [dropping, setDropping] = useState(false)
  const folded = useMedia('(max-width: 1199px)')

  useEffect(() => questions.listen(setQuestion), [questions])
  useEffect(
    () => listenToKeys(stores, actions, { help: () => setHelp(true), history: () => setPast(true) }),
    [stores, actions],
  )
  useEffect(() => listenToFiles(actions, setDropping), [actions])
  useEffect(() => {
    document.title = `${title} · Mouldwright`
  }, [title])

  const utilities = (
    <Utilities stores={stores} actions={actions} onHelp={() => setHelp(true)} onHistory={() => setPast(true)} />
  )
  return (
    <div className="page" data-slip={slip || undefined} data-release={release || undefined}>
      {tour && !release && <Tour stores={stores} onClose={endTour} />}
      <Column stores={stores} actions={actions}>
        {folded && utilities}
      </Column>
      <main className="sheet-place">
        <div className="drawing" hidden={release}>
          <Suspense>
            <Sheet stores={stores} />
          </Suspense>
        </div>
        {release && (
          <ReleasePage
            stores={stores}
            actions={actions}
            still={(asked) => (
              <Suspense>
                <SheetStill stores={stores} question={asked} />
              </Suspense>
            )}
          />
        )}
        {!folded && utilities}
        <Notice stores={stores} />
      </main>
      <Slip stores={stores} actions={actions} />
      <Batten stores={stores} />
      {dropping && <p className="drop-here">Let go to open</p>}
      {opening && <OpenDialog stores={stores} actions={actions} />}
      {past && <HistoryDialog stores={stores} actions={actions} onClose={() => setPast(false)} />}
      {help && <HelpDialog onClose={() => setHelp(false)} />}
      {question && <MeshDialog question={question} />}
    </div>
  )
}

function useMedia(query: string): boolean {
  return useSyncExternalStore(
    (changed) => {
      const list = matchMedia(query)
      list.addEventListener('change', changed)
      return () => list.removeEventListener('change', changed)
    },
    () => matchMedia(query).matches,
  )
}

/** Files dropped anywhere on the page, or pasted. */
function listenToFiles(actions: Actions, setDropping: (dropping: boolean) => void): () => void {
  const hasFiles = (event: DragEvent) => event.dataTransfer?.types.includes('Files') ?? false
  const over = (event: DragEvent) => {
    if (!hasFiles(event)) return
    event.preventDefault()
    setDropping(true)
  }
  const leave = (event: DragEvent) => {
    // Leaving one element for another inside the page is no leaving.
    if (event.relatedTarget === null) setDropping(false)
  }
  const drop = (event: DragEvent) => {
    if (!hasFiles(event)) return
    event.preventDefault()
    setDropping(false)
    const files = [...(event.dataTransfer?.files ?? [])]
    if (files.length > 0) actions.takeFiles(files, 'ask')
  }
  const paste = (event: ClipboardEvent) => {
    const files = [...(event.clipboardData?.files ?? [])]
    if (files.length === 0) return
    event.preventDefault()
    actions.takeFiles(files, 'ask')
  }
  window.addEventListener('dragover', over)
  window.addEventListener('dragleave', leave)
  window.addEventListener('drop', drop)
  window.addEventListener('paste', paste)
  return () => {
    window.removeEventListener('dragover', over)
    window.removeEventListener('dragleave', leave)
    window.removeEventListener('drop', drop)
    window.removeEventListener('paste', paste)
  }
}
