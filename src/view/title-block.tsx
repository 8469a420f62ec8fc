/** The title block: what is drawn, of which revision, from where, in which unit, at what scale, with eight digits of its hash. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import { facetCount } from '../core/geometry/mesh'
import { setRevision } from '../core/job'
import { countText, lengthText, trimmed } from '../state/format'
import type { ViewName } from '../state/session-store'
import type { Stores } from '../state/stores'
import type { EyeRig } from './camera/eye-rig'
import { VIEW_ORDER } from './camera/views'
import type { Room } from './room'
import type { SheetStore } from './sheet-store'
import { useDrawnFrame } from './use-drawn'
import { helmWords, sheetWords } from './words'

export interface TitleBlockProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly room: Room
}

export function TitleBlock({ stores, sheet, rig, room }: TitleBlockProps) {
  const title = useStore(stores.jobs, (s) => s.history.job.title)
  const revision = useStore(stores.jobs, (s) => s.history.job.release.revision)
  const helm = useStore(stores.session, (s) => s.view === 'helm')
  const hash = useStore(stores.results, (s) => s.jobHash)
  if (!room.title) return null
  const small = room.size === 'small'
  return (
    <section className={`title-block ${room.size}`} style={{ width: room.title.right - room.title.left }}>
      <DrawnCopy stores={stores} />
      <div className="title-row">
        <strong title={title}>{title}</strong>
        <RevisionCell stores={stores} revision={revision} />
      </div>
      <div className="title-row">
        <ViewCell stores={stores} sheet={sheet} />
        {small ? <span className="sha">{hash.slice(0, 8)}</span> : <UnitCell stores={stores} />}
      </div>
      {!small && (
        <div className="title-row">
          {/* Seen from the helm near things are larger. */}
          {helm ? <span>{helmWords.noScale}</span> : <ScaleBar stores={stores} rig={rig} />}
          <span className="sha">{sheetWords.sha(hash.slice(0, 8))}</span>
        </div>
      )}
    </section>
  )
}

/** Said where a large scan is drawn by a copy: how many facets, and how far off they are at most. */
function DrawnCopy({ stores }: { stores: Stores }) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const drawn = useDrawnFrame(stores)
  if (!drawn?.copy) return null
  const { mesh, copy } = drawn
  const within = (mm: number) => lengthText(mm, unit, unit === 'mm' ? 1 : 3, 'up')
  return (
    <p className="drawn-copy" data-testid="drawn-copy" title={sheetWords.drawnCopyMore(within(copy.p95_mm))}>
      {sheetWords.drawnCopy(countText(facetCount(copy.mesh)), within(copy.deviation_mm), countText(facetCount(mesh)))}
    </p>
  )
}

interface Choice {
  readonly value: string
  readonly text: string
}

/** A cell of the block that opens its choices: the browser's own list, laid unseen over the words. */
function ChoiceCell(props: {
  readonly label: string
  readonly shown: string
  readonly value: string
  readonly choices: readonly Choice[]
  readonly onChoose: (value: string) => void
}) {
  const { label, shown, value, choices, onChoose } = props
  return (
    <label className="choice-cell">
      <span>{shown}</span>
      <select aria-label={label} value={value} onChange={(e) => onChoose(e.target.value)}>
        {!choices.some((c) => c.value === value) && <option value={value}>{shown}</option>}
        {choices.map((c) => (
          <option key={c.value} value={c.value}>
            {c.text}
          </option>
        ))}
      </select>
    </label>
  )
}

function ViewCell({ stores, sheet }: Pick<TitleBlockProps, 'stores' | 'sheet'>) {
  const view = useStore(stores.session, (s) => s.view)
  const turned = useStore(sheet, (s) => s.turned)
  const name = sheetWords.views[view]
  return (
    <ChoiceCell
      label={sheetWords.viewCell}
      shown={turned ? sheetWords.turned(name.replace(/^from /, '')) : name}
      value={turned ? '' : view}
      choices={VIEW_ORDER.map((v) => ({ value: v, text: sheetWords.views[v] }))}
      onChoose={(v) => v && stores.session.setState((s) => ({ view: v as ViewName, viewAsked: s.viewAsked + 1 }))}
    />
  )
}

function UnitCell({ stores }: Pick<TitleBlockProps, 'stores'>) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  return (
    <ChoiceCell
      label={sheetWords.unitCell}
      shown={unit}
      value={unit}
      choices={[
        { value: 'mm', text: 'mm' },
        { value: 'in', text: 'in' },
      ]}
      onChoose={(v) => stores.session.setState({ lengthUnit: v === 'in' ? 'in' : 'mm' })}
    />
  )
}

function RevisionCell({ stores, revision }: Pick<TitleBlockProps, 'stores'> & { revision: string }) {
  const around = [revision, nextRevision(revision)]
  return (
    <ChoiceCell
      label={sheetWords.revision('')}
      shown={sheetWords.revision(revision)}
      value={revision}
      choices={around.map((r) => ({ value: r, text: sheetWords.revision(r) }))}
      onChoose={(r) => r !== revision && stores.jobs.getState().edit(setRevision(r))}
    />
  )
}

/** A, B … Z, AA; a number counts up; anything else gets a 2. */
export function nextRevision(revision: string): string {
  if (/^\d+$/.test(revision)) return String(Number(revision) + 1)
  if (!/^[A-Z]+$/.test(revision)) return `${revision}2`
  const head = revision.slice(0, -1)
  const last = revision.charCodeAt(revision.length - 1)
  if (last < 90) return head + String.fromCharCode(last + 1)
  return head === '' ? 'AA' : `${nextRevision(head)}A`
}

const LENGTHS_MM = [5, 10, 25, 50, 100, 250, 500, 1000]
const LENGTHS_IN = [0.25, 0.5, 1, 2, 4, 12, 24, 48]
const LONGEST_PX = 88

/** A round length, at most 88 px long; it follows the zoom. */
function ScaleBar({ stores, rig }: Pick<TitleBlockProps, 'stores' | 'rig'>) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const root = useRef<SVGSVGElement>(null)
  useEffect(() => {
    const mm = unit === 'mm' ? 1 : 25.4
    const lengths = unit === 'mm' ? LENGTHS_MM : LENGTHS_IN
    const draw = () => {
      const node = root.current
      if (!node) return
      const { pxPerMm } = rig.now().eye
      const length = lengths.filter((l) => l * mm * pxPerMm <= LONGEST_PX).at(-1) ?? lengths[0]!
      const px = length * mm * pxPerMm
      node.children[0]!.setAttribute('d', `M2 5v7h${px.toFixed(1)}v-7M${(2 + px / 2).toFixed(1)} 12v-4`)
      node.children[1]!.setAttribute('x', (px + 10).toFixed(1))
      node.children[1]!.textContent = trimmed(length, 2)
    }
    const stop = rig.onPicture(draw)
    draw()
    return () => void stop()
  }, [rig, unit])
  return (
    <svg ref={root} className="scale-bar" width="132" height="18" aria-hidden="true">
      <path d="" />
      <text y="13" />
    </svg>
  )
}
