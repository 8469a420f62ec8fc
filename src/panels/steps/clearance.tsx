import { useStore } from 'zustand'
import type { ClearanceSettings } from '../../core/clearance/types'
import { SETTING_WORDS } from '../../state/describe-change'
import { DEFAULTS, setClearance, tryEdit } from '../../state/edit'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { FairnessSlider } from '../fields/fairness-slider'
import { MeasureField, type MeasureProps } from '../fields/measure-field'
import { clearanceWords as words } from '../words'
import { OutlineFields } from './outline'
import { ShapeFields } from './shape'
import { ShellsTaken, WayOn } from './shells-taken'

type NumberSetting = {
  [K in keyof ClearanceSettings]: ClearanceSettings[K] extends number ? K : never
}[keyof ClearanceSettings]

const FEW = ['gap_mm', 'skirt_mm', 'draft_deg', 'minRadius_mm'] as const

const REST = [
  'overhang_mm',
  'edgeRadius_mm',
  'flange_mm',
  'cavity_mm',
  'underside_mm',
  'topside_mm',
  'bond_mm',
  'tautness',
  'camberAlong_mm',
  'camberAcross_mm',
  'sample_mm',
  'coverage',
] as const

const HINTS: { readonly [K in NumberSetting]?: string } = words.hints

/** What the underside's shape does not hang on. */
const NOT_SEEN: ReadonlySet<NumberSetting> = new Set(['cavity_mm', 'topside_mm', 'sample_mm'])

const kindOf = (key: NumberSetting): MeasureProps['kind'] =>
  key.endsWith('_mm') ? 'length' : key.endsWith('_deg') ? 'angle' : 'plain'

export function ClearanceSlip({ stores, actions }: PanelProps) {
  const settings = useStore(stores.jobs, (s) => s.history.job.clearance)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<ClearanceSettings>) => tryEdit(stores.jobs, setClearance(change))
  const attempt = (change: Partial<ClearanceSettings> | null) => stores.session.setState({ trial: change })
  const field = (key: NumberSetting, label: string, small: boolean) => (
    <MeasureField
      key={key}
      label={label}
      value={settings[key]}
      kind={kindOf(key)}
      unit={unit}
      standard={DEFAULTS.clearance[key]}
      small={small}
      {...(HINTS[key] !== undefined && { hint: HINTS[key] })}
      testId={`setting-${key}`}
      {...(NOT_SEEN.has(key) ? {} : { onTry: (value) => attempt(value === null ? null : { [key]: value }) })}
      onApply={(value) => set({ [key]: value ?? DEFAULTS.clearance[key] })}
    />
  )
  return (
    <>
      {FEW.map((key) => field(key, words.few[key], false))}
      <FairnessSlider
        value_mm={settings.fairRadius_mm}
        unit={unit}
        onTry={(mm) => attempt(mm === null ? null : { fairRadius_mm: mm })}
        onApply={(fairRadius_mm) => set({ fairRadius_mm })}
      />
      <details className="slip-more" data-testid="more-settings">
        <summary>{words.more}</summary>
        <ChoiceField
          label={words.symmetric}
          value={settings.symmetric ? 'yes' : 'no'}
          choices={[
            ['yes', words.symmetries.yes],
            ['no', words.symmetries.no],
          ]}
          testId="setting-symmetric"
          onApply={(value) => set({ symmetric: value === 'yes' })}
        />
        <ChoiceField
          label={words.joint}
          value={settings.joint}
          choices={[
            ['shoebox', words.joints.shoebox],
            ['flat', words.joints.flat],
          ]}
          testId="setting-joint"
          onApply={(joint) => set({ joint })}
        />
        {REST.map((key) => {
          const word = SETTING_WORDS[key]
          return field(key, word.charAt(0).toUpperCase() + word.slice(1), true)
        })}
      </details>
      <OutlineFields stores={stores} actions={actions} />
      <ShapeFields stores={stores} />
      <WayOn stores={stores} />
      <ShellsTaken stores={stores} actions={actions} />
    </>
  )
}
