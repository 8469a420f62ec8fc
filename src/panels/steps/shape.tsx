/** Gaps by region, allowances, the trims at which rain must run off, and what was measured of them. */
import { useStore } from 'zustand'
import type { BearingGap } from '../../core/clearance/metal-gaps'
import type { Boss, GapRegion, LandSetting, ShapeSettings, Trim } from '../../core/clearance/shape-types'
import type { TrimWater } from '../../core/clearance/water-trims'
import { setShape, tryEdit } from '../../state/edit'
import { areaText, lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { GapCurve } from './gap-curve'

export function ShapeFields({ stores }: Pick<PanelProps, 'stores'>) {
  return (
    <>
      <Regions stores={stores} />
      <Allowance stores={stores} />
      <Water stores={stores} />
      <Bosses stores={stores} />
      <Lands stores={stores} />
      <Bearing stores={stores} />
    </>
  )
}

type Props = Pick<PanelProps, 'stores'>

const changed = <T,>(list: readonly T[], k: number, change: Partial<T>): readonly T[] =>
  list.map((entry, i) => (i === k ? { ...entry, ...change } : entry))

/** Half a side of the box a new region begins with, mm. */
const HALF_MM = 60

function Regions({ stores }: Props) {
  const regions = useStore(stores.jobs, (s) => s.history.job.clearance.regions)
  const gap_mm = useStore(stores.jobs, (s) => s.history.job.clearance.gap_mm)
  const result = useStore(stores.results, (s) => s.steps.clearance.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (next: ShapeSettings['regions'], title: string) =>
    tryEdit(stores.jobs, setShape({ regions: next }, title))
  const add = () => {
    const at = result?.certificate.at.frame ?? [0, 0, 0]
    const corner = (by: number) => at.map((v) => Math.round(v + by)) as [number, number, number]
    const name = words.region(regions.length + 1)
    set([...regions, { name, min_mm: corner(-HALF_MM), max_mm: corner(HALF_MM), gap_mm }], words.regionAdded(name))
  }
  return (
    <details className="slip-more" data-testid="gap-regions">
      <summary>{words.regions(regions.length)}</summary>
      {regions.map((region, k) => (
        <section className="slip-part" key={region.name} aria-label={region.name}>
          <TextField
            label={words.name}
            value={region.name}
            most={60}
            testId={`region-name-${k}`}
            onApply={(name) => set(changed(regions, k, { name }), words.regionChanged(name))}
          />
          <MeasureField
            label={words.regionGap}
            value={region.gap_mm}
            kind="length"
            unit={unit}
            testId={`region-gap-${k}`}
            hint={measuredWords(result?.regions[k], unit)}
            onApply={(v) => set(changed(regions, k, { gap_mm: v ?? gap_mm }), words.regionChanged(region.name))}
          />
          {SIDES.map(([key, axis, label]) => (
            <MeasureField
              key={label}
              label={label}
              value={region[key][axis]}
              kind="length"
              unit={unit}
              small
              testId={`region-${key}-${axis}-${k}`}
              onApply={(v) =>
                set(changed(regions, k, { [key]: moved(region, key, axis, v ?? 0) }), words.regionChanged(region.name))
              }
            />
          ))}
          <button
            type="button"
            className="link"
            onClick={() =>
              set(
                regions.filter((_, i) => i !== k),
                words.regionGone(region.name),
              )
            }
          >
            {words.away}
          </button>
        </section>
      ))}
      <p className="field-hint">{words.regionsHint}</p>
      <button type="button" className="link" data-testid="add-region" onClick={add}>
        {words.addRegion}
      </button>
    </details>
  )
}

const SIDES = [
  ['min_mm', 0, 'Aft side, x'],
  ['max_mm', 0, 'Fore side, x'],
  ['min_mm', 1, 'Starboard side, y'],
  ['max_mm', 1, 'Port side, y'],
  ['min_mm', 2, 'Bottom, z'],
  ['max_mm', 2, 'Top, z'],
] as const

const moved = (region: GapRegion, key: 'min_mm' | 'max_mm', axis: 0 | 1 | 2, to: number) =>
  region[key].map((v, i) => (i === axis ? to : v)) as [number, number, number]

const measuredWords = (region: { facets: number; min_mm: number | null } | undefined, unit: ShownUnit): string =>
  !region
    ? ''
    : region.facets === 0
      ? words.noMetal
      : region.min_mm === null
        ? words.farOff
        : words.measured(lengthText(region.min_mm, unit, unit === 'mm' ? 2 : undefined, 'down'))

function Allowance({ stores }: Props) {
  const allowance = useStore(stores.jobs, (s) => s.history.job.clearance.allowance)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<ShapeSettings['allowance']>) =>
    tryEdit(stores.jobs, setShape({ allowance: { ...allowance, ...change } }, words.allowance))
  return (
    <section className="slip-part" aria-label={words.allowance}>
      <MeasureField
        label={words.laminate}
        value={allowance.laminate_mm}
        kind="length"
        unit={unit}
        standard={0}
        small
        hint={words.laminateHint}
        testId="allowance-laminate"
        onApply={(v) => set({ laminate_mm: v ?? 0 })}
      />
      <MeasureField
        label={words.shrinkage}
        value={allowance.shrinkage_percent}
        kind="plain"
        unit={unit}
        standard={0}
        small
        hint={words.shrinkageHint}
        testId="allowance-shrinkage"
        onApply={(v) => set({ shrinkage_percent: v ?? 0 })}
      />
    </section>
  )
}

function Water({ stores }: Props) {
  const trims = useStore(stores.jobs, (s) => s.history.job.clearance.trims)
  const water = useStore(stores.results, (s) => s.steps.clearance.result?.water)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (next: readonly Trim[], title: string) => tryEdit(stores.jobs, setShape({ trims: next }, title))
  return (
    <details className="slip-more" data-testid="water">
      <summary>{words.water}</summary>
      {water && (
        <ul className="rows" data-testid="water-rows">
          {water.map((w) => (
            <li key={w.trim?.name ?? ''}>
              <span className="clip">{w.trim ? w.trim.name : words.level}</span>
              <span className="quiet">{waterWords(w, unit)}</span>
            </li>
          ))}
        </ul>
      )}
      {trims.map((trim, k) => (
        <section className="slip-part" key={trim.name} aria-label={trim.name}>
          <TextField
            label={words.name}
            value={trim.name}
            most={60}
            testId={`trim-name-${k}`}
            onApply={(name) => set(changed(trims, k, { name }), words.trimChanged(name))}
          />
          {ANGLES.map(([key, label]) => (
            <MeasureField
              key={key}
              label={label}
              value={trim[key]}
              kind="angle"
              unit={unit}
              small
              testId={`trim-${key}-${k}`}
              onApply={(v) => set(changed(trims, k, { [key]: v ?? 0 }), words.trimChanged(trim.name))}
            />
          ))}
          <button
            type="button"
            className="link"
            onClick={() =>
              set(
                trims.filter((_, i) => i !== k),
                words.trimGone(trim.name),
              )
            }
          >
            {words.away}
          </button>
        </section>
      ))}
      <button
        type="button"
        className="link"
        data-testid="add-trim"
        onClick={() => {
          const name = words.trim(trims.length + 1)
          set([...trims, { name, pitch_deg: 2, heel_deg: 0 }], words.trimAdded(name))
        }}
      >
        {words.addTrim}
      </button>
    </details>
  )
}

const ANGLES = [
  ['pitch_deg', 'Pitch, bow up'],
  ['heel_deg', 'Heel, starboard down'],
] as const

const waterWords = ({ ponds, area_mm2, depth_mm }: TrimWater, unit: ShownUnit): string =>
  ponds.length === 0
    ? words.dry
    : words.ponds(
        ponds.length,
        areaText(area_mm2, unit),
        lengthText(depth_mm, unit, unit === 'mm' ? 1 : undefined, 'up'),
      )

function Bearing({ stores }: Props) {
  const bearing = useStore(stores.results, (s) => s.steps.clearance.result?.bearing)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  if (!bearing || bearing.length === 0) return null
  return (
    <section className="slip-part" aria-label={words.bearing} data-testid="bearing-gaps">
      <h3>{words.bearing}</h3>
      {bearing.map((tube) => (
        <figure className="gap-figure" key={tube.id}>
          <figcaption>
            {tube.name} <span className="quiet">{bearingWords(tube, unit)}</span>
          </figcaption>
          {tube.gap_mm.length > 1 && <GapCurve tube={tube} />}
        </figure>
      ))}
    </section>
  )
}

function bearingWords({ least_mm, mean_mm, largest_mm, asked_mm }: BearingGap, unit: ShownUnit): string {
  if (least_mm === null || mean_mm === null || largest_mm === null) return words.notUnder
  const text = (mm: number, round: 'up' | 'down' | undefined) =>
    lengthText(mm, unit, unit === 'mm' ? 2 : undefined, round)
  return words.bedding(
    text(asked_mm, undefined),
    text(least_mm, 'down'),
    text(mean_mm, undefined),
    text(largest_mm, 'up'),
  )
}

function Bosses({ stores }: Props) {
  const bosses = useStore(stores.jobs, (s) => s.history.job.clearance.bosses)
  const result = useStore(stores.results, (s) => s.steps.clearance.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (next: readonly Boss[], title: string) => tryEdit(stores.jobs, setShape({ bosses: next }, title))
  const add = () => {
    const [x, y] = result?.certificate.at.frame ?? [0, 0]
    const name = words.boss(bosses.length + 1)
    set(
      [...bosses, { name, at_mm: [Math.round(x), Math.round(y)], radius_mm: 40, draft_deg: 40 }],
      words.bossAdded(name),
    )
  }
  return (
    <details className="slip-more" data-testid="bosses">
      <summary>{words.bosses(bosses.length)}</summary>
      {bosses.map((boss, k) => {
        const change = (by: Partial<Boss>) => set(changed(bosses, k, by), words.bossChanged(boss.name))
        const made = result?.bosses[k]
        return (
          <section className="slip-part" key={boss.name} aria-label={boss.name}>
            <TextField
              label={words.name}
              value={boss.name}
              most={60}
              testId={`boss-name-${k}`}
              onApply={(name) => change({ name })}
            />
            {([0, 1] as const).map((axis) => (
              <MeasureField
                key={axis}
                label={words.bossAt[axis]}
                value={boss.at_mm[axis]}
                kind="length"
                unit={unit}
                small
                testId={`boss-at-${axis}-${k}`}
                onApply={(v) => change({ at_mm: axis === 0 ? [v ?? 0, boss.at_mm[1]] : [boss.at_mm[0], v ?? 0] })}
              />
            ))}
            <MeasureField
              label={words.bossRadius}
              value={boss.radius_mm}
              kind="length"
              unit={unit}
              small
              testId={`boss-radius-${k}`}
              {...(made ? { hint: words.rises(lengthText(made.rise_mm, unit, unit === 'mm' ? 1 : undefined)) } : {})}
              onApply={(v) => change({ radius_mm: v ?? 40 })}
            />
            <MeasureField
              label={words.bossDraft}
              value={boss.draft_deg}
              kind="angle"
              unit={unit}
              small
              testId={`boss-draft-${k}`}
              onApply={(v) => change({ draft_deg: v ?? 40 })}
            />
            <button
              type="button"
              className="link"
              onClick={() =>
                set(
                  bosses.filter((_, i) => i !== k),
                  words.bossGone(boss.name),
                )
              }
            >
              {words.away}
            </button>
          </section>
        )
      })}
      <p className="field-hint">{words.bossesHint}</p>
      <button type="button" className="link" data-testid="add-boss" onClick={add}>
        {words.addBoss}
      </button>
    </details>
  )
}

function Lands({ stores }: Props) {
  const lands = useStore(stores.jobs, (s) => s.history.job.clearance.lands)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<LandSetting>) =>
    tryEdit(stores.jobs, setShape({ lands: { ...lands, ...change } }, words.landsChanged))
  return (
    <section className="slip-part" aria-label={words.lands}>
      <ChoiceField
        label={words.lands}
        value={lands.kind}
        choices={[
          ['none', words.noLands],
          ['flat', words.flat],
          ['saddle', words.saddle],
        ]}
        hint={words.landsHint}
        testId="lands"
        onApply={(kind) => set({ kind })}
      />
      {lands.kind !== 'none' && (
        <>
          <MeasureField
            label={words.landWidth}
            value={lands.width_mm}
            kind="length"
            unit={unit}
            standard={40}
            small
            testId="land-width"
            onApply={(v) => set({ width_mm: v ?? 40 })}
          />
          <MeasureField
            label={words.landDraft}
            value={lands.draft_deg}
            kind="angle"
            unit={unit}
            standard={45}
            small
            testId="land-draft"
            onApply={(v) => set({ draft_deg: v ?? 45 })}
          />
        </>
      )}
    </section>
  )
}
