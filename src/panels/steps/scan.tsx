import { useStore } from 'zustand'
import { assertNever } from '../../core/geometry/trouble'
import type { Health, LengthUnit, Repair, ScanResult } from '../../core/scan/types'
import { addRepair, registerFile, removeRepair, removeScanFile, setNoise, setScanUnit, tryEdit } from '../../state/edit'
import { areaText, countText, lengthText, numberText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, FileLink, MESH_FILES } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { layWords, thinWords, scanWords as words } from '../words'
import { CropPart } from './crop-part'
import { DefectList } from './defect-list'
import { LayPart } from './lay-part'
import { ThinPart } from './thin-part'

const UNIT_WORDS: { readonly [U in LengthUnit]: string } = {
  um: 'µm',
  mm: 'mm',
  cm: 'cm',
  m: 'm',
  in: 'inches',
  ft: 'feet',
}

export function ScanSlip({ stores, actions }: PanelProps) {
  const scan = useStore(stores.jobs, (s) => s.history.job.scan)
  const made = useStore(stores.results, (s) => s.steps.scan.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  return (
    <>
      <section className="slip-part">
        <h3>{scan.files.length === 1 ? 'File' : `${scan.files.length} files`}</h3>
        <ul className="rows" data-testid="scan-files">
          {scan.files.map((f, i) => (
            <li key={f.asset}>
              <span className="clip">{f.name}</span>
              <span className="quiet">{f.asset.slice(0, 8)}</span>
              {i > 0 && (
                <FileLaid
                  number={i + 1}
                  laid={(scan.register?.[i - 1]?.how ?? 'given') !== 'given'}
                  made={made}
                  stores={stores}
                  onPick={() => actions.layByPicking(i + 1)}
                />
              )}
            </li>
          ))}
        </ul>
        <p className="links">
          <FileLink
            accept={MESH_FILES}
            multiple
            testId="add-scan"
            onFiles={(files) => actions.takeFiles(files, 'more-scan')}
          >
            {layWords.add}
          </FileLink>
          <FileLink
            accept={MESH_FILES}
            multiple
            testId="choose-scan"
            onFiles={(files) => actions.takeFiles(files, 'scan')}
          >
            {layWords.instead}
          </FileLink>
        </p>
      </section>
      <LayPart stores={stores} unit={unit} />
      {made && <UnitPart made={made} asked={scan.unit} stores={stores} unit={unit} />}
      <MeasureField
        label={words.noise}
        value={scan.noise_mm}
        whenNull={made ? lengthText(made.health.noise_mm, 'mm', 2).replace(' mm', '') : words.estimated}
        kind="length"
        unit={unit}
        hint={scan.noise_mm === null ? words.noiseEstimated : words.noiseSaid}
        testId="setting-noise_mm"
        onApply={(value) => tryEdit(stores.jobs, setNoise(value))}
      />
      {made && <HealthPart health={made.health} unit={unit} />}
      {made && <DefectList made={made} unit={unit} stores={stores} />}
      <RepairPart repairs={scan.repairs} made={made} stores={stores} unit={unit} />
    </>
  )
}

/** A further file: as it stands, or laid on the first with what that leaves between the two surfaces. */
function FileLaid(props: {
  number: number
  laid: boolean
  made: ScanResult | null
  stores: PanelProps['stores']
  onPick: () => void
}) {
  const { number, laid, made, stores, onPick } = props
  const fit = made?.fits?.find((one) => one.file === number)
  return (
    <span className="links file-laid">
      {laid && fit && (
        <span className="quiet">{words.laid(numberText(fit.rms_mm, 2), Math.round(100 * fit.overlap))}</span>
      )}
      <button
        type="button"
        className="link"
        data-testid={`lay-file-${number}`}
        onClick={() => tryEdit(stores.jobs, registerFile(number, { how: laid ? 'given' : 'auto', pairs: [] }))}
      >
        {laid ? words.asItStands : words.layOnFirst}
      </button>
      <button type="button" className="link" data-testid={`pick-pairs-${number}`} onClick={onPick}>
        {layWords.pick}
      </button>
      <button
        type="button"
        className="link"
        data-testid={`take-out-${number}`}
        onClick={() => tryEdit(stores.jobs, removeScanFile(number))}
      >
        {layWords.takeOut}
      </button>
    </span>
  )
}

function UnitPart(props: {
  made: ScanResult
  asked: 'auto' | LengthUnit
  stores: PanelProps['stores']
  unit: ShownUnit
}) {
  const { made, asked, stores } = props
  const { unit, from, alternatives, longest_mm } = made.unit
  const size = lengthText(longest_mm, props.unit)
  const said = {
    file: words.unitFrom.file(UNIT_WORDS[unit], size),
    size: words.unitFrom.size(UNIT_WORDS[unit], size),
    job: words.unitFrom.job(size),
  }[from]
  const offered: LengthUnit[] = [unit, ...alternatives.filter((u) => u !== unit)]
  if (asked !== 'auto' && !offered.includes(asked)) offered.push(asked)
  for (const common of ['mm', 'cm', 'm', 'in'] as const) if (!offered.includes(common)) offered.push(common)
  return (
    <ChoiceField
      label={words.unit}
      value={asked === 'auto' && from === 'size' ? 'open' : unit}
      choices={offered.map((u) => [u, UNIT_WORDS[u]] as const)}
      hint={said}
      testId="scan-unit"
      onApply={(chosen) => chosen !== 'open' && tryEdit(stores.jobs, setScanUnit(chosen))}
    />
  )
}

function HealthPart({ health, unit }: { health: Health; unit: ShownUnit }) {
  const { rejected } = health
  const longest = health.holes.reduce((most, h) => Math.max(most, h.rim_mm), 0)
  const causes = [
    [rejected.zeroArea, words.causes.zeroArea],
    [rejected.duplicate, words.causes.duplicate],
    [rejected.notFinite, words.causes.notFinite],
    [rejected.badIndex, words.causes.badIndex],
  ] as const
  const rows: readonly (readonly [string, string, string?])[] = [
    [words.health.facets, countText(health.facets)],
    [words.health.vertices, countText(health.vertices), words.welded(countText(health.welded))],
    [
      words.health.rejected,
      countText(rejected.total),
      causes
        .filter(([n]) => n > 0)
        .map(([n, why]) => `${countText(n)} ${why}`)
        .join(', '),
    ],
    [words.health.holes, countText(health.holeCount), longest > 0 ? words.longestRim(lengthText(longest, unit)) : ''],
    [
      words.health.pieces,
      countText(health.islands),
      health.islandsDropped > 0 ? words.dropped(health.islandsDropped) : '',
    ],
    [words.health.crossing, countText(health.nonManifoldEdges)],
    [words.health.turned, countText(health.inconsistentEdges)],
    [words.health.edge, lengthText(health.meanEdge_mm, unit)],
    [words.health.noise, lengthText(health.noise_mm, unit, 2), words.noiseFrom[health.noiseFrom]],
    [words.health.area, areaText(health.area_mm2, unit), health.closed ? words.closed : words.open],
  ]
  return (
    <section className="slip-part">
      <h3>{words.health.title}</h3>
      <dl className="rows" data-testid="health">
        {rows.map(([name, value, more]) => (
          <div key={name}>
            <dt>
              {name}
              {more && <span className="quiet"> {more}</span>}
            </dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  )
}

function RepairPart(props: {
  repairs: readonly Repair[]
  made: ScanResult | null
  stores: PanelProps['stores']
  unit: ShownUnit
}) {
  const { repairs, made, stores } = props
  const has = (kind: Repair['kind']) => repairs.some((r) => r.kind === kind)
  const add = (repair: Repair) => tryEdit(stores.jobs, addRepair(repair))
  return (
    <section className="slip-part">
      <h3>{words.repairs}</h3>
      {repairs.length === 0 && <p className="field-hint">{words.noRepairs}</p>}
      <ol className="rows" data-testid="repairs">
        {repairs.map((repair, i) => (
          <li key={JSON.stringify([repair, repairs.slice(0, i).filter((r) => r.kind === repair.kind).length])}>
            <span>{repairWords(repair)}</span>
            <button
              type="button"
              className="link"
              data-testid={`remove-repair-${i}`}
              onClick={() => tryEdit(stores.jobs, removeRepair(i))}
            >
              {words.takeBack}
            </button>
          </li>
        ))}
      </ol>
      <p className="links">
        {!has('drop-islands') && (
          <button
            type="button"
            className="link"
            data-testid="repair-drop-islands"
            onClick={() => add({ kind: 'drop-islands', belowShare: 0.005 })}
          >
            {words.dropIslands}
          </button>
        )}
        {!has('turn-facets') && (made?.health.inconsistentEdges ?? 0) > 0 && (
          <button
            type="button"
            className="link"
            data-testid="repair-turn-facets"
            onClick={() => add({ kind: 'turn-facets' })}
          >
            {words.turnFacets}
          </button>
        )}
        {!has('fill-holes') && (made?.health.holeCount ?? 0) > 0 && (
          <button
            type="button"
            className="link"
            data-testid="repair-fill-holes"
            onClick={() => add({ kind: 'fill-holes', longestRim_mm: 60 })}
          >
            {words.fillHoles}
          </button>
        )}
      </p>
      {made && !has('thin') && <ThinPart stores={stores} made={made} unit={props.unit} />}
      <CropPart stores={stores} unit={props.unit} />
    </section>
  )
}

function repairWords(repair: Repair): string {
  switch (repair.kind) {
    case 'drop-islands':
      return words.done.islands(numberText(repair.belowShare * 100, 1))
    case 'turn-facets':
      return words.done.turned
    case 'fill-holes':
      return words.done.filled(repair.longestRim_mm)
    case 'crop-box':
      return words.done.box
    case 'crop-plane':
      return words.done.plane
    case 'thin':
      return thinWords.done(numberText(repair.edge_mm, 1), numberText(repair.deviation_mm, 2))
    default:
      return assertNever(repair)
  }
}
