import { useStore } from 'zustand'
import type { ClearanceSettings } from '../../core/clearance/types'
import { SETTING_WORDS } from '../../state/describe-change'
import { DEFAULTS, setClearance, tryEdit } from '../../state/edit'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { FairnessSlider } from '../fields/fairness-slider'
import { MeasureField, type MeasureProps } from '../fields/measure-field'
import { OutlineFields } from './outline'
import { ShapeFields } from './shape'
import { ShellsTaken, WayOn } from './shells-taken'

type NumberSetting = {
  [K in keyof ClearanceSettings]: ClearanceSettings[K] extends number ? K : never
}[keyof ClearanceSettings]

const FEW: readonly (readonly [NumberSetting, string, string?])[] = [
  ['gap_mm', 'Gap to the frame', 'each tube can have its own'],
  ['skirt_mm', 'Skirt depth'],
  ['draft_deg', 'Draft'],
  ['minRadius_mm', 'Least radius'],
]

const REST: readonly (readonly [NumberSetting, string?])[] = [
  ['overhang_mm', 'outside gap and silhouette'],
  ['edgeRadius_mm', 'between crown and skirt'],
  ['flange_mm', 'where the joint is made'],
  ['cavity_mm', 'least height between the shells'],
  ['underside_mm'],
  ['topside_mm'],
  ['bond_mm'],
  ['tautness', '0 a thin plate, 1 a taut membrane'],
  ['camberAlong_mm', 'radius; 0 adds none'],
  ['camberAcross_mm', 'radius; 0 adds none'],
  ['sample_mm', 'finer takes longer'],
  ['coverage', 'times the scan’s noise is kept as a guard'],
]

/** What the underside's shape does not hang on. */
const NOT_SEEN: ReadonlySet<NumberSetting> = new Set(['cavity_mm', 'topside_mm', 'sample_mm'])

const kindOf = (key: NumberSetting): MeasureProps['kind'] =>
  key.endsWith('_mm') ? 'length' : key.endsWith('_deg') ? 'angle' : 'plain'

export function ClearanceSlip({ stores, actions }: PanelProps) {
  const settings = useStore(stores.jobs, (s) => s.history.job.clearance)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<ClearanceSettings>) => tryEdit(stores.jobs, setClearance(change))
  const attempt = (change: Partial<ClearanceSettings> | null) => stores.session.setState({ trial: change })
  const field = (key: NumberSetting, label: string, hint: string | undefined, small: boolean) => (
    <MeasureField
      key={key}
      label={label}
      value={settings[key]}
      kind={kindOf(key)}
      unit={unit}
      standard={DEFAULTS.clearance[key]}
      small={small}
      {...(hint === undefined ? {} : { hint })}
      testId={`setting-${key}`}
      {...(NOT_SEEN.has(key) ? {} : { onTry: (value) => attempt(value === null ? null : { [key]: value }) })}
      onApply={(value) => set({ [key]: value ?? DEFAULTS.clearance[key] })}
    />
  )
  return (
    <>
      {FEW.map(([key, label, hint]) => field(key, label, hint, false))}
      <FairnessSlider
        value_mm={settings.fairRadius_mm}
        unit={unit}
        onTry={(mm) => attempt(mm === null ? null : { fairRadius_mm: mm })}
        onApply={(fairRadius_mm) => set({ fairRadius_mm })}
      />
      <details className="slip-more" data-testid="more-settings">
        <summary>Fourteen more</summary>
        <ChoiceField
          label="One symmetric top"
          value={settings.symmetric ? 'yes' : 'no'}
          choices={[
            ['yes', 'yes, over the frame and its mirror image'],
            ['no', 'no, over the frame as it is'],
          ]}
          testId="setting-symmetric"
          onApply={(value) => set({ symmetric: value === 'yes' })}
        />
        <ChoiceField
          label="Joint of the shells"
          value={settings.joint}
          choices={[
            ['shoebox', 'shoebox'],
            ['flat', 'flat flange'],
          ]}
          testId="setting-joint"
          onApply={(joint) => set({ joint })}
        />
        {REST.map(([key, hint]) => {
          const word = SETTING_WORDS[key]
          return field(key, word.charAt(0).toUpperCase() + word.slice(1), hint, true)
        })}
      </details>
      <OutlineFields stores={stores} actions={actions} />
      <ShapeFields stores={stores} />
      <WayOn stores={stores} />
      <ShellsTaken stores={stores} actions={actions} />
    </>
  )
}
