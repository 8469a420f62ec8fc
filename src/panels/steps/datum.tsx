import { useState } from 'react'
import { useStore } from 'zustand'
import type { DatumResult, TubePair } from '../../core/datum/types'
import { setDatum, setDatumMatrix, tryEdit } from '../../state/edit'
import { angleText, areaText, lengthText, numberText, type ShownUnit } from '../../state/format'
import { tubeName } from '../../state/place-words'
import { readRigidMatrix } from '../../state/read-matrix'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { Rows } from '../figures/rows'
import { DatumPicksPart } from './datum-picks'

export function DatumSlip({ stores }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.datum)
  const made = useStore(stores.results, (s) => s.steps.datum.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Parameters<typeof setDatum>[0]) => tryEdit(stores.jobs, setDatum(change))
  const auto = setting.matrix === 'auto'
  const { picks } = setting
  const found = auto && picks === undefined
  // Port and starboard that were picked say which end is which.
  const turnable = auto && (picks?.pairs.length ?? 0) + (picks?.forward.length ?? 0) === 0
  return (
    <>
      {found && (
        <ChoiceField
          label="Reading of the two sides"
          value={setting.reading}
          choices={[
            ['plan-view', 'plan view: heights may differ'],
            ['best-match', 'best match: rolled until level'],
          ]}
          {...(made ? { hint: loweredWords(made, unit) } : {})}
          testId="datum-reading"
          onApply={(reading) => set({ reading })}
        />
      )}
      {turnable && (
        <div className="field buttons">
          <span>Turn it round</span>
          <span className="links">
            <button
              type="button"
              className="link"
              aria-pressed={setting.forwardFlipped}
              data-testid="flip-forward"
              onClick={() => set({ forwardFlipped: !setting.forwardFlipped })}
            >
              bow and stern
            </button>
            <button
              type="button"
              className="link"
              aria-pressed={setting.upFlipped}
              data-testid="flip-up"
              onClick={() => set({ upFlipped: !setting.upFlipped })}
            >
              top and bottom
            </button>
          </span>
          <span className="field-hint">which end is forward cannot be read from the metal</span>
        </div>
      )}
      {made && <SymmetryRows made={made} unit={unit} />}
      {made && made.pairs.length > 0 && <PairRows pairs={made.pairs} unit={unit} stores={stores} />}
      {auto && <DatumPicksPart stores={stores} made={made} unit={unit} />}
      <MatrixPart stores={stores} made={made} auto={auto} />
    </>
  )
}

function loweredWords(made: DatumResult, unit: ShownUnit): string {
  const { port_mm, halfWidth_mm, roll_deg, canBeTold } = made.lowered
  if (!canBeTold)
    return 'From this scan a lowered side and a roll cannot be told apart; put a level on the frame and type the matrix.'
  const side = port_mm >= 0 ? 'port' : 'starboard'
  return `${side} hangs ${lengthText(Math.abs(port_mm), unit)} lower at ${lengthText(halfWidth_mm, unit)} from the centreline; a roll of ${angleText(Math.abs(roll_deg), 2)} would level it`
}

function SymmetryRows({ made, unit }: { made: DatumResult; unit: ShownUnit }) {
  const { symmetry, uncertainty, pitch } = made
  const rows: readonly (readonly [string, string])[] = [
    ['mirror error, rms', lengthText(symmetry.rms_mm, unit)],
    ['95 % below', lengthText(symmetry.p95_mm, unit)],
    ['largest', lengthText(symmetry.max_mm, unit)],
    ['port less starboard', lengthText(symmetry.portMinusStarboard_mm, unit)],
    ['not seen on one side', areaText(symmetry.unseen_mm2, unit)],
    ['plane known to', `${lengthText(uncertainty.offset_mm, unit, 2)}, ${angleText(uncertainty.roll_deg, 3)}`],
    ['lowered side known to', lengthText(uncertainty.lowered_mm, unit, 2)],
    [
      'plane from',
      { tubes: 'tube axes', points: 'the surface', picks: 'picked places', matrix: 'your matrix' }[made.planeFrom],
    ],
    ['pitch from', pitch.from],
    ['runner-up', `${pitch.runnerUp}, ${angleText(pitch.difference_deg, 2)} off`],
  ]
  return (
    <section className="slip-part">
      <h3>Port against starboard</h3>
      <Rows rows={rows} testId="symmetry" />
    </section>
  )
}

/** Tubes against their mirror partners: port less starboard. */
function PairRows({
  pairs,
  unit,
  stores,
}: {
  pairs: readonly TubePair[]
  unit: ShownUnit
  stores: PanelProps['stores']
}) {
  const job = useStore(stores.jobs, (s) => s.history.job)
  const plain = (mm: number) => lengthText(mm, unit, 1).replace(/ (mm|in)$/, '')
  return (
    <details className="slip-more">
      <summary>{pairs.length === 1 ? 'One pair of tubes' : `${pairs.length} pairs of tubes`}</summary>
      <table data-testid="pairs">
        <caption className="unseen-text">port less starboard, {unit}</caption>
        <thead>
          <tr>
            <th scope="col">port, starboard</th>
            <th scope="col">out</th>
            <th scope="col">up</th>
            <th scope="col">most</th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((p) => (
            <tr key={`${p.port} ${p.starboard}`}>
              <th scope="row">
                {p.port === p.starboard
                  ? `${tubeName(job, p.port)}, itself`
                  : `${tubeName(job, p.port)}, ${tubeName(job, p.starboard).replace(/^tube /, '')}`}
              </th>
              <td>{plain(p.outward_mm)}</td>
              <td>{plain(p.up_mm)}</td>
              <td>{plain(p.largest_mm)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </details>
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
      <h3>Scan axes to job axes</h3>
      {motion && (
        <table className="matrix" data-testid="matrix">
          <caption className="unseen-text">rotation and shift in millimetres, row by row</caption>
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
            type a matrix
          </button>
          {(!auto || picked) && (
            <button
              type="button"
              className="link"
              data-testid="auto-matrix"
              onClick={() => setFault(tryEdit(stores.jobs, setDatumMatrix('auto')))}
            >
              find it from the metal again
            </button>
          )}
        </p>
      ) : (
        <>
          <textarea
            aria-label="sixteen numbers, row by row"
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
              use it
            </button>
            <button type="button" className="link" onClick={() => setDraft(null)}>
              leave it
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
