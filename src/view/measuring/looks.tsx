/**
 * Ways of looking, in one line of words at the sheet's upper left, and what is measured beneath it. The page's first drawing
 * left the sheet bare here; but a word nobody sees is a tool nobody has, so the words stand, as quiet as the utilities.
 */
import { useStore } from 'zustand'
import { lengthText, type ShownUnit } from '../../state/format'
import { nextCut, toggleLook } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import type { EyeRig } from '../camera/eye-rig'
import type { SheetStore } from '../sheet-store'
import { useMetalAlone } from '../use-drawn'
import { HelmLine } from './helm-line'
import { lengthOf_mm, type Measure, measureText, partsOf_mm } from './measure'
import { measureWords } from './measure-words'
import { closeMeasure } from './take-measure'

export interface LooksProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  /** Of the standing figure. */
  readonly figure_mm: number
  /** Names of the meshes that are drawn: a dimension on another one is as it was. */
  readonly meshIds: ReadonlySet<string>
}

export function Looks({ stores, sheet, rig, figure_mm, meshIds }: LooksProps) {
  const { session } = stores
  const measuring = useStore(session, (s) => s.measuring)
  const apart = useStore(session, (s) => s.apart)
  const through = useStore(session, (s) => s.through)
  const figure = useStore(session, (s) => s.figure)
  const helm = useStore(session, (s) => s.view === 'helm')
  const cut = useStore(session, (s) => (s.uncut ? 'none' : s.section && !s.section.spot ? s.section.across : 'own'))
  // Without shells there is nothing to cut, to take apart or to look through.
  const alone = useMetalAlone(stores)
  const unit = useStore(session, (s) => s.lengthUnit)
  const measures = useStore(sheet, (s) => s.measures)
  const word = (name: string, text: string, title: string, on: boolean, press: () => void) => (
    <button
      key={name}
      type="button"
      title={title}
      aria-pressed={on}
      className={on ? 'on' : ''}
      data-testid={`look-${name}`}
      onClick={press}
    >
      {text}
    </button>
  )
  return (
    <div className="looks">
      <div className="looks-line" role="toolbar" aria-label={measureWords.looks}>
        {word('measure', measureWords.measure, measureWords.measureHelp, measuring, () =>
          toggleLook(session, 'measuring'),
        )}
        {!alone &&
          word('cut', measureWords.cut[cut], measureWords.cutHelp, cut === 'x' || cut === 'y', () => nextCut(stores))}
        {!alone && word('apart', measureWords.apart, measureWords.apartHelp, apart, () => toggleLook(session, 'apart'))}
        {!alone &&
          word('through', measureWords.through, measureWords.throughHelp, through, () =>
            toggleLook(session, 'through'),
          )}
        {word(
          'figure',
          figure ? measureWords.figureSays(lengthText(figure_mm, unit)) : measureWords.figure,
          measureWords.figureHelp,
          figure,
          () => toggleLook(session, 'figure'),
        )}
      </div>
      {helm && <HelmLine stores={stores} rig={rig} />}
      {measuring && <Ways sheet={sheet} />}
      {measures.length > 0 && <List sheet={sheet} measures={measures} unit={unit} meshIds={meshIds} />}
    </div>
  )
}

const WAYS = ['point', 'frame', 'underside', 'topside'] as const

function Ways({ sheet }: { sheet: SheetStore }) {
  const to = useStore(sheet, (s) => s.measureTo)
  const pending = useStore(sheet, (s) => s.pending)
  return (
    <div className="looks-ways">
      <div role="toolbar" aria-label={measureWords.wayLabel}>
        {WAYS.map((way) => (
          <button
            key={way}
            type="button"
            aria-pressed={to === way}
            className={to === way ? 'on' : ''}
            data-testid={`measure-${way}`}
            onClick={() => sheet.setState({ measureTo: way, pending: null })}
          >
            {measureWords.ways[way]}
          </button>
        ))}
      </div>
      <p role="status">{to !== 'point' ? measureWords.toPart : pending ? measureWords.toPoint : measureWords.from}</p>
    </div>
  )
}

interface ListProps {
  readonly sheet: SheetStore
  readonly measures: readonly Measure[]
  readonly unit: ShownUnit
  readonly meshIds: ReadonlySet<string>
}

function List({ sheet, measures, unit, meshIds }: ListProps) {
  return (
    <ul className="looks-list" aria-label={measureWords.list} data-testid="measures">
      {measures.map((m) => {
        const [forward, port, up] = partsOf_mm(m).map((v) => lengthText(v, unit, unit === 'mm' ? 2 : undefined))
        const current = meshIds.has(m.from.meshId) && meshIds.has(m.to.meshId)
        return (
          <li key={m.serial} data-stale={!current || undefined}>
            <b>{measureText(lengthOf_mm(m), unit)}</b> {!current && measureWords.asItWas}
            <button
              type="button"
              aria-label={`${measureWords.close} ${measureText(lengthOf_mm(m), unit)}`}
              onClick={() => closeMeasure(sheet, m.serial)}
            >
              {measureWords.close}
            </button>
            <span>
              {measureWords.ends(endWords(m.from), endWords(m.to))}
              <br />
              {measureWords.parts(forward!, port!, up!)}
            </span>
          </li>
        )
      })}
      {measures.length > 1 && (
        <li>
          <button type="button" onClick={() => sheet.setState({ measures: [] })}>
            {measureWords.closeAll}
          </button>
        </li>
      )}
    </ul>
  )
}

const endWords = ({ kind, hold }: Measure['from']): string => `${measureWords.kinds[kind]}, ${measureWords.holds[hold]}`
