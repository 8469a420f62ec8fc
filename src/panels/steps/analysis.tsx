import { useStore } from 'zustand'
import type { PartAnalysis, UndercutRegion } from '../../core/analysis/types'
import { setAnalysis, tryEdit } from '../../state/edit'
import { angleText, areaText, lengthText, type ShownUnit } from '../../state/format'
import { placeWords, type Reach, reachOf } from '../../state/place-words'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { analysisWords as words } from '../words'
import { AsMadePart } from './as-made'
import { OtherPulls } from './pull-disc'

const looseWords = ({ ownPull, looseFrees }: UndercutRegion): string => {
  if (!ownPull) return words.noPull
  if (looseFrees === null) return words.ownPull
  return looseFrees ? words.looseFrees : words.looseHinders
}

export function AnalysisSlip({ stores, actions }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.analysis)
  const draft_deg = useStore(stores.jobs, (s) => s.history.job.clearance.draft_deg)
  const made = useStore(stores.results, (s) => s.steps.analysis.result)
  const outline = useStore(stores.results, (s) => s.steps.clearance.result?.outline)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const reach = reachOf(outline ?? [])
  return (
    <>
      <MeasureField
        label={words.minDraft}
        value={setting.minDraft_deg}
        whenNull={angleText(draft_deg, draft_deg % 1 === 0 ? 0 : 1)}
        kind="angle"
        unit={unit}
        hint={setting.minDraft_deg === null ? words.asDrawn : words.emptyAsDrawn}
        testId="setting-minDraft_deg"
        onApply={(minDraft_deg) => tryEdit(stores.jobs, setAnalysis({ minDraft_deg }))}
      />
      <MeasureField
        label={words.radiusLimit}
        value={setting.radiusLimit_mm}
        kind="length"
        unit={unit}
        testId="setting-radiusLimit_mm"
        onApply={(v) => tryEdit(stores.jobs, setAnalysis({ radiusLimit_mm: v ?? setting.radiusLimit_mm }))}
      />
      {made?.parts.map((part) => (
        <PartRows key={part.name} part={part} unit={unit} reach={reach} stores={stores} />
      ))}
      {(['underside', 'topside'] as const).map((part) => (
        <OtherPulls key={part} part={part} stores={stores} actions={actions} />
      ))}
      <AsMadePart stores={stores} actions={actions} />
    </>
  )
}

function PartRows(props: { part: PartAnalysis; unit: ShownUnit; reach: Reach; stores: PanelProps['stores'] }) {
  const { part, unit } = props
  const { draft, undercut, symmetry, radius } = part.check
  const rows: readonly (readonly [string, string])[] = [
    [words.leastDraft, angleText(draft.min_deg, 2)],
    [words.below(angleText(draft.limit_deg, draft.limit_deg % 1 === 0 ? 0 : 1)), areaText(draft.low_mm2, unit)],
    [words.cause['facing-away'], areaText(draft.negative_mm2, unit)],
    [words.coarse, areaText(draft.unsureAtZero_mm2 + draft.unsureAtLimit_mm2, unit)],
    [
      words.locked,
      `${areaText(undercut.area_mm2, unit)}${undercut.bound_mm2 > 0 ? ` ± ${areaText(undercut.bound_mm2, unit)}` : ''}`,
    ],
    [words.depth, lengthText(undercut.depth_mm, unit)],
    [words.mirror, lengthText(symmetry.max_mm, unit, 3)],
    [
      words.leastRadius,
      radius.min_mm < radius.limit_mm
        ? `${lengthText(radius.min_mm, unit)} ± ${lengthText(radius.minDoubt_mm, unit)}`
        : words.above(lengthText(radius.limit_mm, unit)),
    ],
    [
      words.onePercent,
      radius.p01_mm < radius.limit_mm
        ? lengthText(radius.p01_mm, unit)
        : words.above(lengthText(radius.limit_mm, unit)),
    ],
  ]
  return (
    <section className="slip-part">
      <h3>{part.name}</h3>
      <Rows testId={`check-${part.name}`} rows={rows} />
      {undercut.regions.length > 0 && <Regions {...props} regions={undercut.regions} />}
    </section>
  )
}

function Regions(props: {
  part: PartAnalysis
  regions: readonly UndercutRegion[]
  unit: ShownUnit
  reach: Reach
  stores: PanelProps['stores']
}) {
  const { unit, reach, stores } = props
  const show = (at: UndercutRegion['at']) =>
    stores.session.setState({ question: 'off', section: { across: 'y', at_mm: at[1], spot: [at[0], at[1], at[2]] } })
  return (
    <table className="regions" data-testid={`regions-${props.part.name}`}>
      <caption>{words.regions}</caption>
      <thead>
        <tr>
          <th scope="col">{words.where}</th>
          <th scope="col">{words.area}</th>
          <th scope="col">{words.deep}</th>
        </tr>
      </thead>
      <tbody>
        {props.regions.map((r) => (
          <tr key={r.at.join()}>
            <th scope="row">
              <button type="button" className="link" onClick={() => show(r.at)}>
                {placeWords(r.at, reach)}
              </button>
              <span className="quiet">
                {words.cause[r.cause]}
                {r.meetsAfter_mm !== null && words.after(lengthText(r.meetsAfter_mm, unit))}
                {looseWords(r)}
              </span>
            </th>
            <td>{areaText(r.area_mm2, unit)}</td>
            <td>{lengthText(r.depth_mm, unit)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  )
}
