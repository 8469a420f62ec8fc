/** The trims at which rain must run off the topside, and what stands there. */
import { useStore } from 'zustand'
import type { TrimWater } from '../../core/clearance/water-trims'
import { setShape, tryEdit } from '../../state/edit'
import { areaText, lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { shapeWords as words } from '../words'
import { freshName, PartList } from './part-list'

export function Water({ stores }: Pick<PanelProps, 'stores'>) {
  const trims = useStore(stores.jobs, (s) => s.history.job.clearance.trims)
  const water = useStore(stores.results, (s) => s.steps.clearance.result?.water)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  return (
    <PartList
      parts={trims}
      id="trim"
      summary={words.water}
      above={
        water && (
          <ul className="rows" data-testid="water-rows">
            {water.map((w) => (
              <li key={w.trim?.name ?? ''}>
                <span className="clip">{w.trim ? w.trim.name : words.level}</span>
                <span className="quiet">{waterWords(w, unit)}</span>
              </li>
            ))}
          </ul>
        )
      }
      add={{ words: words.addTrim, make: () => ({ name: freshName(trims, words.trim), pitch_deg: 2, heel_deg: 0 }) }}
      onApply={(next, title) => tryEdit(stores.jobs, setShape({ trims: next }, title))}
      fields={(trim, k, change) =>
        ANGLES.map(([key, label]) => (
          <MeasureField
            key={key}
            label={label}
            value={trim[key]}
            kind="angle"
            unit={unit}
            small
            testId={`trim-${key}-${k}`}
            onApply={(v) => change({ [key]: v ?? 0 })}
          />
        ))
      }
    />
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
