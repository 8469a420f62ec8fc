/** One fabric of a schedule: which, and how many layers of it. */
import { FABRICS } from '../../core/build-plan/materials'
import type { PlyEntry } from '../../core/build-plan/types'
import type { ShownUnit } from '../../state/format'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { plyWords as words } from '../words'

interface PlyFieldsProps {
  readonly ply: PlyEntry
  readonly unit: ShownUnit
  readonly testId: string
  readonly onChange: (change: Partial<PlyEntry>) => string | null
}

export const PlyFields = ({ ply, unit, testId, onChange }: PlyFieldsProps) => (
  <>
    <ChoiceField
      label={words.fabric}
      value={ply.fabric}
      choices={FABRICS.map((f) => [f.id, f.name] as const)}
      testId={`${testId}-fabric`}
      onApply={(fabric) => onChange({ fabric })}
    />
    <MeasureField
      label={words.layers}
      value={ply.layers}
      kind="plain"
      unit={unit}
      small
      testId={`${testId}-layers`}
      onApply={(v) => onChange({ layers: Math.round(v ?? ply.layers) })}
    />
  </>
)
