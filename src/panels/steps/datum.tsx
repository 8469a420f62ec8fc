import { useState } from 'react'
import { useStore } from 'zustand'
import type { DatumResult } from '../../core/datum/types'
import { trustedNoise_mm } from '../../core/flow'
import { turnDatum } from '../../state/datum-moves'
import { setDatum, setDatumMatrix, tryEdit } from '../../state/edit'
import { angleText, areaText, lengthText, numberText, type ShownUnit } from '../../state/format'
import { readRigidMatrix } from '../../state/read-matrix'
import { BEYOND_NOISE } from '../../state/session-store'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { Rows } from '../figures/rows'
import { poseWords as words } from '../words'
import { PairRows } from './datum-pairs'
import { DatumPicksPart } from './datum-picks'
import { PosePart } from './datum-pose'

export function DatumSlip({ stores }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.datum)
  const made = useStore(stores.results, (s) => s.steps.datum.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Parameters<typeof setDatum>[0]) => tryEdit(stores.jobs, setDatum(change))
  const auto = setting.matrix === 'auto'
  const { picks } = setting
  const found = auto && picks === undefined
  // Port and starboard that were picked say which end is which.
  const turnable = !auto || (picks?.pairs.length ?? 0) + (picks?.forward.length ?? 0) === 0
  return (
    <>
      {found && (
        <ChoiceField
          label={words.reading}
          value={setting.reading}
          choices={[
            ['plan-view', words.readings.plan],
            ['best-match', words.readings.match],
          ]}
          {...(made ? { hint: loweredWords(made, unit) } : {})}
          testId="datum-reading"
          onApply={(reading) => set({ reading })}
        />
      )}
      {made && <ShownPart stores={stores} unit={unit} />}
      {turnable && (
        <div className="field buttons">
          <span>{words.turn}</span>
          <span className="links">
            <button
              type="button"
              className="link"
              {...(auto && { 'aria-pressed': setting.forwardFlipped })}
              data-testid="flip-forward"
              onClick={() => turnDatum(stores, 'round')}
            >
              {words.turns.round}
            </button>
            <button
              type="button"
              className="link"
              {...(auto && { 'aria-pressed': setting.upFlipped })}
              data-testid="flip-up"
              onClick={() => turnDatum(stores, 'over')}
            >
              {words.turns.over}
            </button>
          </span>
          <span className="field-hint">{words.turnHint}</span>
        </div>
      )}
      {made && <SymmetryRows made={made} unit={unit} />}
      {made && made.pairs.length > 0 && <PairRows pairs={made.pairs} unit={unit} stores={stores} />}
      {auto && <DatumPicksPart stores={stores} made={made} unit={unit} />}
      {made && <PosePart stores={stores} motion={made.motion} unit={unit} />}
      <MatrixPart stores={stores} made={made} auto={auto} />
    </>
  )
}

/** The frame's own asymmetry, laid over it: as its mirror image, or as a map of signed distances. */
function ShownPart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const shown = useStore(stores.session, (s) => s.mirrorShown)
  const scan = useStore(stores.results, (s) => s.steps.scan.result)
  const frame = useStore(stores.results, (s) => s.steps.frame.result)
  const beyond_mm = scan && frame ? BEYOND_NOISE * trustedNoise_mm(scan, frame) : 0
  return (
    <ChoiceField
      label={words.shown}
      value={shown}
      choices={(['image', 'error', 'none'] as const).map((as) => [as, words.shownAs[as]] as const)}
      {...(shown === 'image' && { hint: words.imageHint(lengthText(beyond_mm, unit)) })}
      testId="mirror-shown"
      onApply={(mirrorShown) => stores.session.setState({ mirrorShown })}
    />
  )
}

function loweredWords(made: DatumResult, unit: ShownUnit): string {
  const { port_mm, halfWidth_mm, roll_deg, canBeTold } = made.lowered
  if (!canBeTold) return words.notTold
  return words.lowered({
    side: words.sides[port_mm >= 0 ? 'port' : 'starboard'],
    by: lengthText(Math.abs(port_mm), unit),
    at: lengthText(halfWidth_mm, unit),
    roll: angleText(Math.abs(roll_deg), 2),
  })
}

function SymmetryRows({ made, unit }: { made: DatumResult; unit: ShownUnit }) {
  const { symmetry, uncertainty, pitch } = made
  const rows: readonly (readonly [string, string])[] = [
    [words.figures.rms, lengthText(symmetry.rms_mm, unit)],
    [words.figures.p95, lengthText(symmetry.p95_mm, unit)],
    [words.figures.largest, lengthText(symmetry.max_mm, unit)],
    [words.figures.difference, lengthText(symmetry.portMinusStarboard_mm, unit)],
    [words.figures.unseen, areaText(symmetry.unseen_mm2, unit)],
    [words.figures.plane, `${lengthText(uncertainty.offset_mm, unit, 2)}, ${angleText(uncertainty.roll_deg, 3)}`],
    [words.figures.lowered, lengthText(uncertainty.lowered_mm, unit, 2)],
    [words.figures.from, words.planeFrom[made.planeFrom]],
    [words.figures.pitch, pitch.from],
    [words.figures.runnerUp, words.off(pitch.runnerUp, angleText(pitch.difference_deg, 2))],
  ]
  return (
    <section className="slip-part">
      <h3>{words.portStarboard}</h3>
      <Rows rows={rows} testId="symmetry" />
    </section>
  )
}

function MatrixPart({ stores, made, auto }: { stores: PanelProps['stores']; made: DatumResult | null; auto: boolean }) {
  const picked = useStore(stores.jobs, (s) => s.history.job.datum.picks !== undefined)
  const [draft, setDraft] = useState<string | null>(null)
  const [fault, setFault] = useState<string | null>(null)
  const motion = made?.motion
  const apply = () => {
    const read = readRigidMatrix(draft ?? '')
    if ('fault' in read) return setFault(read.fault)
    setFault(tryEdit(stores.jobs, setDatumMatrix(read.matrix)))
    setDraft(null)
  }
  return (
    <section className="slip-part">
      <h3>{words.matrix}</h3>
      {motion && (
        <table className="matrix" data-testid="matrix">
          <caption className="unseen-text">{words.matrixCaption}</caption>
          <tbody>
            {[0, 1, 2].map((r) => (
              <tr key={r}>
                {[0, 1, 2, 3].map((c) => (
                  <td key={c}>{numberText(motion[r * 4 + c]!, c === 3 ? 1 : 5)}</td>
                ))}
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {draft === null ? (
        <p className="links">
          <button type="button" className="link" data-testid="type-matrix" onClick={() => setDraft(matrixText(motion))}>
            {words.typeMatrix}
          </button>
          {(!auto || picked) && (
            <button
              type="button"
              className="link"
              data-testid="auto-matrix"
              onClick={() => setFault(tryEdit(stores.jobs, setDatumMatrix('auto')))}
            >
              {words.findAgain}
            </button>
          )}
        </p>
      ) : (
        <>
          <textarea
            aria-label={words.sixteen}
            data-testid="matrix-text"
            rows={4}
            value={draft}
            spellCheck={false}
            onChange={(event) => setDraft(event.target.value)}
            onKeyDown={(event) => {
              if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) apply()
              if (event.key === 'Escape') {
                event.stopPropagation()
                setDraft(null)
                setFault(null)
              }
            }}
          />
          <p className="links">
            <button type="button" className="link" data-testid="apply-matrix" onClick={apply}>
              {words.use}
            </button>
            <button type="button" className="link" onClick={() => setDraft(null)}>
              {words.leave}
            </button>
          </p>
        </>
      )}
      {fault && <p className="fault">{fault}</p>}
    </section>
  )
}

const matrixText = (motion: readonly number[] | undefined): string =>
  [0, 1, 2, 3].map((r) => (motion ?? IDENTITY_ROWS).slice(r * 4, r * 4 + 4).join(' ')).join('\n')

const IDENTITY_ROWS: readonly number[] = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]
