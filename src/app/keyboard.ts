import type { Actions } from '../panels'
import { QUESTIONS } from '../state/answers'
import { askQuestion, isMetalAlone, type Look, leaveHelm, nextCut, toggleLook } from '../state/session-moves'
import type { Stores } from '../state/stores'

/** Ways of looking, by their letters; the drawing's own keys (arrows, P, 0, plus, minus) need it focused. */
const LOOKS: Readonly<Record<string, Look>> = { m: 'measuring', a: 'apart', t: 'through', f: 'figure' }

/** Keys of the whole page. What is typed into a field stays there, but for saving and opening. */
export function listenToKeys(stores: Stores, actions: Actions, pages: { help(): void; history(): void }): () => void {
  const { jobs, session } = stores
  const onKey = (event: KeyboardEvent) => {
    if (event.defaultPrevented) return
    const typing =
      event.target instanceof Element &&
      event.target.closest('input:not([type=radio]):not([type=file]), textarea, select')
    const dialog = document.querySelector('[role=dialog]') !== null
    const command = event.ctrlKey || event.metaKey
    const key = event.key.toLowerCase()
    const does = (what: () => void) => {
      event.preventDefault()
      what()
    }
    if (command && key === 's') return does(actions.saveFile)
    if (command && key === 'o')
      return does(() => document.querySelector<HTMLInputElement>('[data-testid="open-files"]')?.click())
    if (typing || dialog) return
    if (command && key === 'z') return does(() => (event.shiftKey ? jobs.getState().redo() : jobs.getState().undo()))
    if (command && key === 'y') return does(() => jobs.getState().redo())
    if (command || event.altKey) return
    if (event.key === '?') return does(pages.help)
    if (key === 'h') return does(pages.history)
    if (event.key === 'Escape' && session.getState().slip !== null) return does(() => session.setState({ slip: null }))
    if (event.key === 'Escape' && session.getState().view === 'helm') return does(() => leaveHelm(session))
    const look = LOOKS[key]
    // Of shells that are not drawn nothing is switched unseen.
    const seen = !isMetalAlone(session.getState().slip)
    if (look && (seen || look === 'measuring' || look === 'figure')) return does(() => toggleLook(session, look))
    if (key === 'x' && seen) return does(() => nextCut(stores))
    const question = QUESTIONS[Number(event.key) - 1]
    if (question) does(() => askQuestion(session, question))
  }
  window.addEventListener('keydown', onKey)
  return () => window.removeEventListener('keydown', onKey)
}
