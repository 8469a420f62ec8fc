/** What a fitting shows as a navigation light. */
import { LIGHT_KINDS, type LightKind, type LightSetting } from '../../core/fitting/settings'
import type { FittingEntry } from '../../core/job'
import type { ShownUnit } from '../../state/format'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { lightWords } from '../words'

const KINDS = ['none', ...LIGHT_KINDS] as const

export function LightFields(props: {
  fitting: FittingEntry
  unit: ShownUnit
  onChange: (light: LightSetting | null) => string | null
}) {
  const { fitting, unit, onChange } = props
  const { light } = fitting
  return (
    <>
      <ChoiceField<LightKind | 'none'>
        label={lightWords.kind}
        value={light?.kind ?? 'none'}
        choices={KINDS.map((kind) => [kind, lightWords.kinds[kind]] as const)}
        hint={lightWords.rules}
        testId="fitting-light"
        onApply={(kind) => onChange(kind === 'none' ? null : { forward_deg: 0, source_mm: null, ...light, kind })}
      />
      {light && light.kind !== 'deck' && (
        <>
          <MeasureField
            label={lightWords.source}
            value={light.source_mm}
            whenNull={lightWords.guessed}
            kind="length"
            unit={unit}
            hint={lightWords.sourceHint}
            testId="fitting-light-source"
            onApply={(source_mm) => onChange({ ...light, source_mm })}
          />
          <MeasureField
            label={lightWords.forward}
            value={light.forward_deg}
            kind="angle"
            unit={unit}
            hint={lightWords.forwardHint}
            testId="fitting-light-forward"
            onApply={(deg) => onChange({ ...light, forward_deg: deg ?? 0 })}
          />
        </>
      )}
    </>
  )
}
