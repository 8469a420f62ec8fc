/** Scans of moulds and parts against the plan: share within the profile zone, twist, and the map on the drawing. */
import { useStore } from 'zustand'
import type { AsMadeResult } from '../../core/analysis/types'
import { changeAsMade, removeAsMade, tryEdit } from '../../state/edit'
import { angleText, areaText, lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, FileLink, MESH_FILES } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { asMadeWords as words } from '../words'

export function AsMadePart({ stores, actions }: PanelProps) {
  const entries = useStore(stores.jobs, (s) => s.history.job.asMade)
  const made = useStore(stores.results, (s) => s.steps.analysis.result?.asMade)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  return (
    <section className="slip-part" data-testid="as-made">
      <h3>{words.heading}</h3>
      {entries.map((entry, i) => {
        const result = made?.[i]
        return (
          <div key={`${entry.mesh.asset} ${entry.against}`}>
            <ul className="rows">
              <li>
                <span className="clip">{entry.mesh.name}</span>
                <span className="quiet">{entry.against}</span>
              </li>
            </ul>
            <ChoiceField
              label={words.of}
              value={entry.of}
              choices={[
                ['part', words.part],
                ['mould', words.mould],
              ]}
              testId={`as-made-of-${i}`}
              onApply={(of) => tryEdit(stores.jobs, changeAsMade(i, { of }))}
            />
            <MeasureField
              label={words.tolerance}
              value={entry.tolerance_mm}
              kind="length"
              unit={unit}
              small
              hint={words.zone}
              testId={`as-made-tolerance-${i}`}
              onApply={(v) => tryEdit(stores.jobs, changeAsMade(i, { tolerance_mm: v ?? entry.tolerance_mm }))}
            />
            {result && result.name === entry.mesh.name && <Figures result={result} unit={unit} stores={stores} />}
            <p className="links">
              <button type="button" className="link" onClick={() => tryEdit(stores.jobs, removeAsMade(i))}>
                {words.remove}
              </button>
            </p>
          </div>
        )
      })}
      {(['underside', 'topside'] as const).map((role) => (
        <p className="links" key={role}>
          <FileLink
            accept={MESH_FILES}
            testId={`choose-made-${role}`}
            onFiles={(files) => actions.takeFiles(files, `made-${role}`)}
          >
            {words.add(role)}
          </FileLink>
        </p>
      ))}
    </section>
  )
}

function Figures(props: { result: AsMadeResult; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { result, unit, stores } = props
  const { made } = result
  if (!made) return <p className="field-hint">{words.noFit}</p>
  const worst = Math.abs(made.highest_mm) >= Math.abs(made.lowest_mm) ? made.highestAt : made.lowestAt
  return (
    <>
      <Rows
        testId={`as-made-${result.against}`}
        rows={[
          // Never rounded in its own favour.
          [words.within, `${(Math.floor(made.within * 1000) / 10).toFixed(1)} %`],
          [words.profile, lengthText(made.profile_mm, unit, 2)],
          [words.range, `${lengthText(made.lowest_mm, unit, 2)}, ${lengthText(made.highest_mm, unit, 2)}`],
          [words.twist, made.twist_deg === null ? 'not known' : angleText(made.twist_deg, 3)],
          [
            words.port,
            made.portMinusStarboard_mm === null ? 'not known' : lengthText(made.portMinusStarboard_mm, unit, 2),
          ],
          [words.unseen, areaText(made.unseen_mm2, unit)],
        ]}
      />
      {worst && (
        <button
          type="button"
          className="link"
          onClick={() =>
            stores.session.setState({
              map: 'made',
              finding: `analysis.as-made.${result.against}.${result.name}`,
              section: { across: 'y', at_mm: worst[1], spot: [worst[0], worst[1], worst[2]] },
            })
          }
        >
          {words.show}
        </button>
      )}
    </>
  )
}
