/** The part as it was read: its size beside a ruler, so that a wrong unit is seen, and the side it stands on. */
import { useStore } from 'zustand'
import type { FittingEntry } from '../../core/job'
import { changeFitting, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { bodyWords as words } from '../words'

const SIDES = {
  down: [0, 0, -1],
  up: [0, 0, 1],
  ahead: [1, 0, 0],
  aft: [-1, 0, 0],
  left: [0, 1, 0],
  right: [0, -1, 0],
} as const
type Side = keyof typeof SIDES
const RULER_MM = 300

/** Which of the named sides a picked normal looks to. */
function sideOf(normal: FittingEntry['baseNormal']): Side | 'found' {
  if (!normal) return 'found'
  const names = Object.keys(SIDES) as Side[]
  const along = (name: Side) => SIDES[name].reduce<number>((sum, v, k) => sum + v * normal[k]!, 0)
  return names.reduce((best, name) => (along(name) > along(best) ? name : best))
}

export function BodyPart(props: { fitting: FittingEntry; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { fitting, unit, stores } = props
  const made = useStore(stores.results, (s) => s.steps.fitting.result)
  const asked = useStore(stores.session, (s) => s.asked)
  const size = made?.bodies[made.placed.findIndex((p) => p.id === fitting.id)]?.size_mm
  const text = (by: number) => (size ?? []).map((v) => lengthText(v * by, unit)).join(' × ')
  return (
    <section className="slip-part" aria-label={words.size}>
      {size && (
        <>
          <p className="field-hint" data-testid="fitting-size">
            {words.size}: {text(1)} ({fitting.unit === 'in' ? words.asMm(text(1 / 25.4)) : words.asInches(text(25.4))})
          </p>
          <Ruler size={size} />
        </>
      )}
      <ChoiceField
        label={words.base}
        value={sideOf(fitting.baseNormal)}
        choices={(['found', ...Object.keys(SIDES)] as (Side | 'found')[]).map((s) => [s, words.bases[s]] as const)}
        hint={words.baseHint}
        testId="fitting-base"
        onApply={(side) =>
          tryEdit(stores.jobs, changeFitting(fitting.id, { baseNormal: side === 'found' ? null : [...SIDES[side]] }))
        }
      />
      <p className="links">
        {asked?.for === 'base' && asked.fitting === fitting.id ? (
          <>
            <span className="field-hint" aria-live="polite">
              {words.pointBase}
            </span>
            <button type="button" className="link" onClick={() => stores.session.setState({ asked: null })}>
              {words.pointNot}
            </button>
          </>
        ) : (
          <button
            type="button"
            className="link"
            data-testid="point-base"
            onClick={() => stores.session.setState({ asked: { for: 'base', fitting: fitting.id } })}
          >
            {words.askBase}
          </button>
        )}
      </p>
    </section>
  )
}

/** Length and width to one scale with a ruler ticked each 10 mm. */
function Ruler({ size: [x, y] }: { size: readonly [number, number, number] }) {
  const wide = Math.max(RULER_MM, x, y)
  const scale = 260 / wide
  const high = Math.min(120, Math.max(2, y * scale))
  return (
    <svg viewBox={`-1 -1 262 ${high + 26}`} role="img" aria-label={words.ruler} className="ruler">
      <rect width={Math.max(1, x * scale)} height={high} fill="none" stroke="currentColor" strokeWidth={1.5} />
      <g transform={`translate(0 ${high + 6})`} stroke="currentColor" strokeWidth={0.8}>
        <line x2={RULER_MM * scale} />
        {Array.from({ length: RULER_MM / 10 + 1 }, (_, k) => 10 * k).map((k) => (
          <line key={k} x1={k * scale} x2={k * scale} y2={k % 100 === 0 ? 9 : k % 50 === 0 ? 6 : 3} />
        ))}
      </g>
      <text x={0} y={high + 24} fontSize={9} fill="currentColor">
        {words.ruler}
      </text>
    </svg>
  )
}
