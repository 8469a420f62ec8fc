import { useStore } from 'zustand'
import type { ToolingSettings } from '../../core/tooling'
import { setTooling, tryEdit } from '../../state/edit'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { toolingWords as words } from '../words'
import { ClassPart, ToolRows } from './tooling-figures'
import { ToolingSettingsPart } from './tooling-settings'

export function ToolingSlip({ stores }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.tooling)
  const made = useStore(stores.results, (s) => s.steps.tooling.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Partial<ToolingSettings>) => tryEdit(stores.jobs, setTooling(change))
  return (
    <>
      <MeasureField
        label={words.parts}
        value={setting.parts}
        kind="plain"
        unit={unit}
        testId="tooling-parts"
        onApply={(v) => set({ parts: v ?? setting.parts })}
      />
      <ChoiceField
        label={words.made}
        value={setting.made}
        choices={(['auto', 'direct', 'plug'] as const).map((made) => [made, words.mades[made]] as const)}
        testId="tooling-made"
        onApply={(v) => set({ made: v })}
      />
      <MeasureField
        label={words.scallop}
        value={setting.scallop_mm}
        kind="length"
        unit={unit}
        testId="tooling-scallop"
        onApply={(v) => set({ scallop_mm: v ?? setting.scallop_mm })}
      />
      {made && <ClassPart choice={made.choice} />}
      {made?.tools.map((tool) => (
        <ToolRows key={tool.role} tool={tool} unit={unit} stores={stores} />
      ))}
      <ToolingSettingsPart setting={setting} unit={unit} set={set} />
      <p className="field-hint">{words.drawn}</p>
      <p className="caution">{words.caution}</p>
    </>
  )
}
