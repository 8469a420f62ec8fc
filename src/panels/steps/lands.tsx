/** Landing strips on the bearing tubes, and the gap that the bedding fills along them. */
import { useStore } from 'zustand'
import type { BearingGap } from '../../core/clearance/metal-gaps'
import type { LandSetting } from '../../core/clearance/shape-types'
import { setShape, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { GapCurve } from './gap-curve'

type Props = Pick<PanelProps, 'stores'>

export function Lands({ stores }: Props) {
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

export function Bearing({ stores }: Props) {
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
