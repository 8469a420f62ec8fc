/** Boxes in which the metal asks for its own gap, each with what was measured there. */
import { useStore } from 'zustand'
import type { GapRegion } from '../../core/clearance/shape-types'
import { setShape, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { freshName, PartList } from './part-list'

/** Half a side of the box a new region begins with, mm. */
const HALF_MM = 60

export function GapRegions({ stores }: Pick<PanelProps, 'stores'>) {
  const regions = useStore(stores.jobs, (s) => s.history.job.clearance.regions)
  const gap_mm = useStore(stores.jobs, (s) => s.history.job.clearance.gap_mm)
  const result = useStore(stores.results, (s) => s.steps.clearance.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const make = (): GapRegion => {
    const at = result?.certificate.at.frame ?? [0, 0, 0]
    const corner = (by: number) => at.map((v) => Math.round(v + by)) as [number, number, number]
    return { name: freshName(regions, words.region), min_mm: corner(-HALF_MM), max_mm: corner(HALF_MM), gap_mm }
  }
  return (
    <PartList
      parts={regions}
      id="region"
      summary={words.regions(regions.length)}
      hint={words.regionsHint}
      add={{ words: words.addRegion, make }}
      onApply={(next, title) => tryEdit(stores.jobs, setShape({ regions: next }, title))}
      fields={(region, k, change) => (
        <>
          <MeasureField
            label={words.regionGap}
            value={region.gap_mm}
            kind="length"
            unit={unit}
            testId={`region-gap-${k}`}
            hint={measuredWords(result?.regions[k], unit)}
            onApply={(v) => change({ gap_mm: v ?? gap_mm })}
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
              onApply={(v) => change({ [key]: moved(region, key, axis, v ?? 0) })}
            />
          ))}
        </>
      )}
    />
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
