/**
 * A first look at the demo: three pencil notes, one after the other, each with a line to what it is about. Nothing waits for
 * them; they are in the way of nothing and gone for good when they are closed.
 */
import { useEffect, useLayoutEffect, useRef, useState } from 'react'
import { useStore } from 'zustand'
import type { Stores } from '../state/stores'
import { type NotePlace, placeNote } from './tour-place'
import { tourWords as words } from './words'

/** What each note is about; the first that is in sight. */
const ABOUT = [
  ['.question[data-open] .answer-sentence'],
  ['.leader', '[data-testid="sheet"]'],
  ['[data-testid^="weight-"][data-state="hold"]', '.batten'],
] as const

/** The drawing moves under a note; its line follows this often, ms. */
const FOLLOW_MS = 200

export function Tour({ stores, onClose }: { stores: Stores; onClose: () => void }) {
  const [at, setAt] = useState(0)
  const [place, setPlace] = useState<NotePlace | null>(null)
  const note = useRef<HTMLElement>(null)
  const opened = useStore(stores.jobs, (s) => s.opened)
  const past = useStore(stores.jobs, (s) => s.history.job.scan)
  const [first] = useState({ opened, past })
  const gone = opened !== first.opened || past !== first.past

  useEffect(() => {
    // The demo has made way for somebody's own work.
    if (gone) onClose()
  }, [gone, onClose])

  useLayoutEffect(() => {
    const follow = () => {
      const about = boxOf(ABOUT[at]!)
      const own = note.current?.getBoundingClientRect()
      if (!about || !own) return
      const next = placeNote({ width: innerWidth, height: innerHeight }, about, own)
      setPlace((now) => (now && same(now, next) ? now : next))
    }
    follow()
    const timer = setInterval(follow, FOLLOW_MS)
    return () => clearInterval(timer)
  }, [at])

  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      const taken = event.defaultPrevented || stores.session.getState().slip !== null
      if (event.key !== 'Escape' || taken || document.querySelector('[role=dialog]')) return
      event.preventDefault()
      onClose()
    }
    window.addEventListener('keydown', onKey)
    return () => window.removeEventListener('keydown', onKey)
  }, [stores, onClose])

  const last = at === words.notes.length - 1
  return (
    <div className="tour">
      {place && (
        <svg aria-hidden="true">
          {/* Drawn anew for each note. */}
          <g key={at}>
            <path className="casing" d={lineOf(place)} pathLength={1} />
            <path className="line" d={lineOf(place)} pathLength={1} />
          </g>
        </svg>
      )}
      <section
        ref={note}
        className="tour-note"
        aria-label={words.name}
        data-testid="tour"
        style={place ? { left: place.left, top: place.top } : { visibility: 'hidden' }}
      >
        <p role="status">{words.notes[at]}</p>
        <p className="links">
          {!last && (
            <button type="button" className="link" data-testid="tour-next" onClick={() => setAt(at + 1)}>
              {words.next}
            </button>
          )}
          <button type="button" className="link" data-testid="tour-close" onClick={onClose}>
            {words.close}
          </button>
          <span className="quiet">{words.of(at + 1, words.notes.length)}</span>
        </p>
      </section>
    </div>
  )
}

function boxOf(selectors: readonly string[]): DOMRect | null {
  for (const selector of selectors)
    for (const element of document.querySelectorAll(selector)) {
      const box = element.getBoundingClientRect()
      if (box.width > 0 && box.bottom > 0 && box.top < innerHeight) return box
    }
  return null
}

const same = (a: NotePlace, b: NotePlace): boolean =>
  Math.abs(a.left - b.left) + Math.abs(a.top - b.top) < 1 && a.line.every((v, i) => Math.abs(v - b.line[i]!) < 1)

/** A pencil line is never quite straight. */
function lineOf({ line: [x1, y1, x2, y2] }: NotePlace): string {
  const [bow_x, bow_y] = [(y2 - y1) * 0.06, (x1 - x2) * 0.06]
  return `M${x1} ${y1}Q${(x1 + x2) / 2 + bow_x} ${(y1 + y2) / 2 + bow_y} ${x2} ${y2}`
}
