/** Everything the job may say about tools beside the first few: form, cutters, boards, machine, rates. */
import type { CutterSetting, ToolingSettings } from '../../core/tooling'
import type { ShownUnit } from '../../state/format'
import { ChoiceField } from '../fields/choice-field'
import { LinkRow } from '../fields/link-row'
import { MeasureField } from '../fields/measure-field'
import { AxisFields, type FieldRow, MeasureFields } from '../fields/measure-fields'
import { toolingWords as words } from '../words'
import { AddCutter, SetUps } from './tooling-set-ups'

interface Props {
  readonly setting: ToolingSettings
  readonly unit: ShownUnit
  readonly set: (change: Partial<ToolingSettings>) => string | null
}

export function ToolingSettingsPart({ setting, unit, set }: Props) {
  const { classes, cutters } = setting
  return (
    <details className="slip-more" data-testid="more-tooling">
      <summary>{words.more}</summary>
      <Form setting={setting} unit={unit} set={set} />
      {cutters.map((cutter, i) => (
        <CutterFields
          key={cutter.name}
          cutter={cutter}
          unit={unit}
          onChange={(change) => set({ cutters: cutters.map((c, k) => (k === i ? { ...c, ...change } : c)) })}
          onRemove={cutters.length > 1 ? () => set({ cutters: cutters.filter((_, k) => k !== i) }) : null}
        />
      ))}
      <AddCutter setting={setting} set={set} />
      <SetUps setting={setting} unit={unit} set={set} />
      <BoardsAndMachine setting={setting} unit={unit} set={set} />
      <p className="field-hint">{words.invented}</p>
      {(['direct', 'plug'] as const).map((made) => (
        <section key={made} className="slip-part" aria-label={words.classes[made]}>
          <h3>{words.classes[made]}</h3>
          <MeasureFields
            of={classes[made]}
            rows={plain(words.rates)}
            unit={unit}
            testId={`tooling-${made}`}
            onChange={(change) => set({ classes: { ...classes, [made]: { ...classes[made], ...change } } })}
          />
        </section>
      ))}
    </details>
  )
}

const plain = <K extends string>(labels: Readonly<Record<K, string>>) =>
  (Object.entries(labels) as [K, string][]).map(([key, label]) => [key, label, 'plain'] as const)

const LENGTHS = [
  'flange_mm',
  'beyondTrim_mm',
  'foldRadius_mm',
  'wall_mm',
  'base_mm',
  'leftLimit_mm',
  'profileTolerance_mm',
  'roughLeave_mm',
] as const

const FORM: readonly FieldRow<ToolingSettings>[] = [
  ...LENGTHS.map((key) => [key, words.form[key]] as const),
  ['sideDraft_deg', words.form.sideDraft_deg, 'angle'],
  ['shrinkage', words.form.shrinkage, 'plain', words.shrinkageHint],
]

const Form = ({ setting, unit, set }: Props) => (
  <>
    <ChoiceField
      label={words.construction}
      value={setting.construction}
      choices={[
        ['shell', words.constructions.shell],
        ['block', words.constructions.block],
      ]}
      testId="tooling-construction"
      onApply={(construction) => set({ construction })}
    />
    <MeasureFields of={setting} rows={FORM} unit={unit} testId="tooling" onChange={set} />
  </>
)

const lengths = <K extends keyof typeof words.cutter>(keys: readonly K[]) =>
  keys.map((key) => [key, words.cutter[key]] as const)

interface CutterProps {
  readonly cutter: CutterSetting
  readonly unit: ShownUnit
  readonly onChange: (change: Partial<CutterSetting>) => string | null
  readonly onRemove: (() => void) | null
}

function CutterFields({ cutter, unit, onChange, onRemove }: CutterProps) {
  const testId = `cutter-${cutter.name}`.replaceAll(' ', '-')
  const rows: readonly FieldRow<CutterSetting>[] = [
    ...lengths(['flute_mm', 'stickOut_mm', 'holderDiameter_mm']),
    ...(cutter.use === 'rough' ? lengths(['depth_mm', 'width_mm']) : []),
    ['feed_mm_min', words.cutter.feed_mm_min, 'plain'],
  ]
  return (
    <section className="slip-part" aria-label={cutter.name}>
      <h3>{cutter.name}</h3>
      <MeasureFields
        of={cutter}
        rows={lengths(['diameter_mm', 'cornerRadius_mm'])}
        unit={unit}
        testId={testId}
        onChange={onChange}
      />
      <ChoiceField
        label={words.cutterUse}
        value={cutter.use}
        choices={[
          ['rough', words.uses.rough],
          ['finish', words.uses.finish],
        ]}
        testId={`${testId}-use`}
        onApply={(use) => onChange({ use })}
      />
      <MeasureFields of={cutter} rows={rows} unit={unit} testId={testId} onChange={onChange} />
      {onRemove && <LinkRow onClick={onRemove}>{words.removeCutter}</LinkRow>}
    </section>
  )
}

const BOARD: readonly FieldRow<ToolingSettings['board']>[] = [
  ...(['length_mm', 'width_mm', 'thickness_mm', 'saw_mm', 'allowance_mm'] as const).map(
    (key) => [key, words.board[key]] as const,
  ),
  ['density_kg_m3', words.board.density_kg_m3, 'plain'],
  ['cost', words.board.cost, 'plain'],
]

const MACHINE: readonly FieldRow<ToolingSettings['machine']>[] = [
  ...(['rapid_mm_min', 'toolChange_s', 'setup_h', 'cost_h'] as const).map(
    (key) => [key, words.machine[key], 'plain'] as const,
  ),
  ['liftLimit_kg', words.machine.liftLimit_kg, 'mass'],
]

function BoardsAndMachine({ setting, unit, set }: Props) {
  const { board, machine, hand, timeFactors } = setting
  return (
    <section className="slip-part" aria-label={words.boards}>
      <h3>{words.boards}</h3>
      <MeasureFields
        of={board}
        rows={BOARD}
        unit={unit}
        testId="board"
        onChange={(change) => set({ board: { ...board, ...change } })}
      />
      <AxisFields
        value={machine.travel_mm}
        label={words.travel}
        kind="length"
        unit={unit}
        testId="machine-travel"
        onChange={(travel_mm) => set({ machine: { ...machine, travel_mm } })}
      />
      <AxisFields
        value={machine.acceleration_mm_s2}
        label={words.acceleration}
        kind="plain"
        unit={unit}
        testId="machine-acceleration"
        onChange={(acceleration_mm_s2) => set({ machine: { ...machine, acceleration_mm_s2 } })}
      />
      <MeasureFields
        of={machine}
        rows={MACHINE}
        unit={unit}
        testId="machine"
        onChange={(change) => set({ machine: { ...machine, ...change } })}
      />
      {words.factors.map((name, k) => (
        <MeasureField
          key={name}
          label={name}
          value={timeFactors[k]!}
          kind="plain"
          unit={unit}
          small
          testId={`time-factor-${k}`}
          onApply={(v) => {
            const [low, likely, high] = timeFactors.map((old, i) => (i === k ? (v ?? old) : old))
            return set({ timeFactors: [low!, likely!, high!] })
          }}
        />
      ))}
      <MeasureFields
        of={hand}
        rows={plain(words.hand)}
        unit={unit}
        testId="hand"
        onChange={(change) => set({ hand: { ...hand, ...change } })}
      />
    </section>
  )
}
