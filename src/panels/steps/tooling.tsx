import { useStore } from 'zustand'
import type { ClassSetting, CutterSetting, Range, ToolClassChoice, ToolingSettings, ToolPlan } from '../../core/tooling'
import { setTooling, tryEdit } from '../../state/edit'
import { areaText, lengthFigure, lengthText, massText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { toolingWords as words } from '../words'
import { AddCutter, SetUps } from './tooling-set-ups'

type Set = (change: Parameters<typeof setTooling>[0]) => string | null

export function ToolingSlip({ stores }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.tooling)
  const made = useStore(stores.results, (s) => s.steps.tooling.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set: Set = (change) => tryEdit(stores.jobs, setTooling(change))
  return (
    <>
      <MeasureField
        label="Tops wanted"
        value={setting.parts}
        kind="plain"
        unit={unit}
        testId="tooling-parts"
        onApply={(v) => set({ parts: v ?? setting.parts })}
      />
      <ChoiceField
        label="Made as"
        value={setting.made}
        choices={[
          ['auto', 'the cheaper'],
          ['direct', 'machined mould'],
          ['plug', 'plug, and mould over it'],
        ]}
        testId="tooling-made"
        onApply={(v) => set({ made: v })}
      />
      <MeasureField
        label="Scallop between passes"
        value={setting.scallop_mm}
        kind="length"
        unit={unit}
        testId="tooling-scallop"
        onApply={(v) => set({ scallop_mm: v ?? setting.scallop_mm })}
      />
      {made && (
        <section className="slip-part">
          <h3>direct or plug</h3>
          <ClassPlot choice={made.choice} />
          <p className="field-hint" data-testid="tooling-choice">
            {choiceWords(made.choice)}
          </p>
        </section>
      )}
      {made?.tools.map((tool) => (
        <ToolRows key={tool.role} tool={tool} unit={unit} stores={stores} />
      ))}
      <details className="slip-more" data-testid="more-tooling">
        <summary>Form, cutters, boards and rates</summary>
        <Form setting={setting} unit={unit} set={set} />
        {setting.cutters.map((cutter, i) => (
          <CutterFields
            key={cutter.name}
            cutter={cutter}
            unit={unit}
            onChange={(next) => set({ cutters: setting.cutters.map((c, k) => (k === i ? next : c)) })}
            onRemove={
              setting.cutters.length > 1 ? () => set({ cutters: setting.cutters.filter((_, k) => k !== i) }) : null
            }
          />
        ))}
        <AddCutter setting={setting} set={set} />
        <SetUps setting={setting} unit={unit} set={set} />
        <Boards setting={setting} unit={unit} set={set} />
        <p className="field-hint">
          Rates, speeds, boards and machine come with invented figures. Put your own in their place; the job keeps them.
        </p>
        {(['direct', 'plug'] as const).map((made) => (
          <ClassFields
            key={made}
            name={made === 'direct' ? 'machined mould' : 'plug and mould'}
            rates={setting.classes[made]}
            unit={unit}
            testId={`tooling-${made}`}
            onChange={(next) => set({ classes: { ...setting.classes, [made]: next } })}
          />
        ))}
      </details>
      <p className="field-hint">
        While this slip is open the drawing shows the way of the cutter’s tip; of passes side by side only so many that
        they can be told apart.
      </p>
      <p className="caution">
        The order goes into the release pack. The machine programmer checks all motion. Board dust harms: extraction at
        the tool. Blanks are heavy: lift them with certified gear.
      </p>
    </>
  )
}

const hoursText = (r: Range): string => `${r.likely.toFixed(1)} h (${r.low.toFixed(0)} to ${r.high.toFixed(0)})`
const moneyText = (v: number): string => String(Math.round(v)).replace(/\B(?=(\d{3})+$)/g, ' ')

function ToolRows({ tool, unit, stores }: { tool: ToolPlan; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const last = tool.cutters.at(-1)
  const at = last?.deepestAt
  const reach = Math.max(...tool.cutters.map((c) => c.neededStickOut_mm))
  const heaviest = Math.max(...tool.stock.sections.map((s) => s.blank_kg))
  const rows: readonly (readonly [string, string])[] = [
    ['size', sizeText(tool.footprint_mm, unit)],
    ['finished', massText(tool.mass_kg, unit)],
    ['heaviest blank', massText(heaviest, unit)],
    ['boards', `${tool.stock.boards}, ${tool.stock.leastBoards.toFixed(1)} by volume`],
    ['out of cutters’ reach', areaText(last?.left_mm2 ?? 0, unit)],
    ['deepest left, along the normal', lengthText(last?.deepest_mm ?? 0, unit, 2)],
    ['along z there', lengthText(last?.deepestZ_mm ?? 0, unit)],
    ['stick-out needed', lengthText(reach, unit, 0)],
    ['passes apart', lengthText(tool.stepOver_mm, unit, 2)],
    ['to cut', `${(tool.passLength_mm / 1e6).toFixed(2)} km`],
    ...tool.time_h.map((part) => [part.name, hoursText(part)] as const),
    ['together', hoursText(tool.total_h)],
    ['cost', `${moneyText(tool.cost.likely)} (${moneyText(tool.cost.low)} to ${moneyText(tool.cost.high)})`],
  ]
  return (
    <section className="slip-part">
      <h3>
        {tool.made === 'plug' ? 'plug' : 'mould'} of the {tool.role}, {tool.male ? 'crown up' : 'hollow up'}
      </h3>
      <Rows testId={`tool-${tool.role}`} rows={rows} />
      {at && last.left_mm2 > 0 && (
        <p className="links">
          <button
            type="button"
            className="link"
            onClick={() =>
              stores.session.setState({
                question: 'off',
                section: { across: 'y', at_mm: at[1], spot: [at[0], at[1], at[2]] },
              })
            }
          >
            show the deepest
          </button>
        </p>
      )}
    </section>
  )
}

/** Cost over number of parts: solid direct, dashed plug; the number wanted and every crossing as lines. */
function ClassPlot({ choice }: { choice: ToolClassChoice }) {
  const shown = Math.min(
    choice.curve.direct.length,
    Math.max(20, 3 * choice.parts, ...choice.crossings.slice(0, 3).map((c) => 2 * c.parts)),
  )
  const most = Math.max(choice.curve.direct[shown - 1] ?? 1, choice.curve.plug[shown - 1] ?? 1)
  const x = (n: number) => 4 + (272 * (n - 1)) / Math.max(1, shown - 1)
  const y = (cost: number) => 92 - (86 * cost) / most
  const line = (curve: readonly number[]) =>
    curve
      .slice(0, shown)
      .map((c, i) => `${x(i + 1).toFixed(1)},${y(c).toFixed(1)}`)
      .join(' ')
  return (
    <svg viewBox="0 0 280 110" role="img" aria-label="Cost over number of tops" data-testid="tooling-plot">
      <polyline points={line(choice.curve.direct)} fill="none" stroke="var(--ink)" strokeWidth="1.5" />
      <polyline
        points={line(choice.curve.plug)}
        fill="none"
        stroke="var(--ink)"
        strokeWidth="1.5"
        strokeDasharray="5 3"
      />
      <line x1="4" x2="276" y1="92" y2="92" stroke="var(--ink)" strokeWidth="0.6" />
      <line x1={x(choice.parts)} x2={x(choice.parts)} y1="4" y2="92" stroke="var(--blue)" strokeWidth="1.5" />
      {choice.crossings
        .filter((c) => c.parts <= shown)
        .map((c) => (
          <line
            key={c.parts}
            x1={x(c.parts)}
            x2={x(c.parts)}
            y1="60"
            y2="92"
            stroke="var(--lead)"
            strokeDasharray="2 2"
          />
        ))}
      <text x="4" y="106" fontSize="13" fill="var(--ink2)">
        1
      </text>
      <text x="276" y="106" fontSize="13" textAnchor="end" fill="var(--ink2)">
        {shown} tops
      </text>
    </svg>
  )
}

function choiceWords(choice: ToolClassChoice): string {
  const name = { direct: 'machined moulds', plug: 'plugs with moulds over them' } as const
  const turns = choice.crossings.slice(0, 3).map((c) => `from ${c.parts} on ${name[c.to]}`)
  const changes = turns.length > 0 ? `; ${turns.join(', ')}` : ''
  return `For ${choice.parts}: machined ${moneyText(choice.cost.direct)}, plug ${moneyText(choice.cost.plug)}. Cheaper: ${name[choice.best]}${changes}. First part in about ${choice.lead_days[choice.best]} days.`
}

interface FormProps {
  readonly setting: ToolingSettings
  readonly unit: ShownUnit
  readonly set: Set
}

function Form({ setting, unit, set }: FormProps) {
  const length = (
    key:
      | 'flange_mm'
      | 'beyondTrim_mm'
      | 'foldRadius_mm'
      | 'wall_mm'
      | 'base_mm'
      | 'leftLimit_mm'
      | 'profileTolerance_mm'
      | 'roughLeave_mm',
    label: string,
  ) => (
    <MeasureField
      label={label}
      value={setting[key]}
      kind="length"
      unit={unit}
      small
      testId={`tooling-${key}`}
      onApply={(v) => set({ [key]: v ?? setting[key] })}
    />
  )
  return (
    <>
      <ChoiceField
        label="Body"
        value={setting.construction}
        choices={[
          ['shell', 'hollow from below'],
          ['block', 'solid block'],
        ]}
        testId="tooling-construction"
        onApply={(construction) => set({ construction })}
      />
      {length('flange_mm', 'Flange for bag and clamps')}
      {length('beyondTrim_mm', 'Face goes on past the trim')}
      {length('foldRadius_mm', 'Fold to the flange')}
      {length('wall_mm', 'Least wall of a hollow body')}
      {length('base_mm', 'Below the lowest point')}
      {length('leftLimit_mm', 'Left-over counts from')}
      {length('profileTolerance_mm', 'Profile tolerance')}
      {length('roughLeave_mm', 'Left on by roughing')}
      <MeasureField
        label="Draft of the outer sides"
        value={setting.sideDraft_deg}
        kind="angle"
        unit={unit}
        small
        testId="tooling-sideDraft"
        onApply={(v) => set({ sideDraft_deg: v ?? setting.sideDraft_deg })}
      />
      <MeasureField
        label="Shrinkage factor"
        value={setting.shrinkage}
        kind="plain"
        unit={unit}
        small
        hint="1.002 for 0.2 %; measured in your shop"
        testId="tooling-shrinkage"
        onApply={(v) => set({ shrinkage: v ?? setting.shrinkage })}
      />
    </>
  )
}

function CutterFields(props: {
  cutter: CutterSetting
  unit: ShownUnit
  onChange: (next: CutterSetting) => string | null
  onRemove: (() => void) | null
}) {
  const { cutter, unit, onChange, onRemove } = props
  const field = (
    key: 'diameter_mm' | 'cornerRadius_mm' | 'flute_mm' | 'stickOut_mm' | 'holderDiameter_mm' | 'depth_mm' | 'width_mm',
    label: string,
  ) => (
    <MeasureField
      label={label}
      value={cutter[key]}
      kind="length"
      unit={unit}
      small
      testId={`cutter-${cutter.name}-${key}`.replaceAll(' ', '-')}
      onApply={(v) => onChange({ ...cutter, [key]: v ?? cutter[key] })}
    />
  )
  return (
    <section className="slip-part" aria-label={cutter.name}>
      <h3>{cutter.name}</h3>
      {field('diameter_mm', 'Diameter')}
      {field('cornerRadius_mm', 'Corner radius')}
      <ChoiceField
        label="Used for"
        value={cutter.use}
        choices={[
          ['rough', 'roughing'],
          ['finish', 'finishing'],
        ]}
        testId={`cutter-${cutter.name}-use`.replaceAll(' ', '-')}
        onApply={(use) => onChange({ ...cutter, use })}
      />
      {field('flute_mm', 'Cutting edge, long')}
      {field('stickOut_mm', 'Stick-out')}
      {field('holderDiameter_mm', 'Holder')}
      {cutter.use === 'rough' && field('depth_mm', 'Depth of a layer')}
      {cutter.use === 'rough' && field('width_mm', 'Width of cut')}
      <MeasureField
        label="Feed, mm a minute"
        value={cutter.feed_mm_min}
        kind="plain"
        unit={unit}
        small
        testId={`cutter-${cutter.name}-feed`.replaceAll(' ', '-')}
        onApply={(v) => onChange({ ...cutter, feed_mm_min: v ?? cutter.feed_mm_min })}
      />
      {onRemove && (
        <p className="links">
          <button type="button" className="link" onClick={onRemove}>
            {words.removeCutter}
          </button>
        </p>
      )}
    </section>
  )
}

function Boards({ setting, unit, set }: FormProps) {
  const { board, machine, hand } = setting
  const boardField = (key: 'length_mm' | 'width_mm' | 'thickness_mm' | 'saw_mm' | 'allowance_mm', label: string) => (
    <MeasureField
      label={label}
      value={board[key]}
      kind="length"
      unit={unit}
      small
      testId={`board-${key}`}
      onApply={(v) => set({ board: { ...board, [key]: v ?? board[key] } })}
    />
  )
  const plain = (label: string, value: number, testId: string, apply: (v: number) => string | null) => (
    <MeasureField
      key={testId}
      label={label}
      value={value}
      kind="plain"
      unit={unit}
      small
      testId={testId}
      onApply={(v) => apply(v ?? value)}
    />
  )
  return (
    <section className="slip-part" aria-label="boards and machine">
      <h3>boards and machine</h3>
      {boardField('length_mm', 'Board length')}
      {boardField('width_mm', 'Board width')}
      {boardField('thickness_mm', 'Board thickness')}
      {boardField('saw_mm', 'Saw cut')}
      {boardField('allowance_mm', 'Every layer beyond its slice')}
      {plain('Board density, kg/m³', board.density_kg_m3, 'board-density', (density_kg_m3) =>
        set({ board: { ...board, density_kg_m3 } }),
      )}
      {plain('Cost of a board', board.cost, 'board-cost', (cost) => set({ board: { ...board, cost } }))}
      {([0, 1, 2] as const).map((k) => (
        <MeasureField
          key={k}
          label={`Machine travel ${'xyz'[k]}`}
          value={machine.travel_mm[k]}
          kind="length"
          unit={unit}
          small
          testId={`machine-travel-${'xyz'[k]}`}
          onApply={(v) => {
            const [x, y, z] = machine.travel_mm.map((old, i) => (i === k ? (v ?? old) : old))
            return set({ machine: { ...machine, travel_mm: [x!, y!, z!] } })
          }}
        />
      ))}
      {([0, 1, 2] as const).map((k) =>
        plain(words.acceleration('xyz'[k]!), machine.acceleration_mm_s2[k], `machine-acceleration-${'xyz'[k]}`, (v) => {
          const [x, y, z] = machine.acceleration_mm_s2.map((old, i) => (i === k ? v : old))
          return set({ machine: { ...machine, acceleration_mm_s2: [x!, y!, z!] } })
        }),
      )}
      {(['rapid_mm_min', 'toolChange_s', 'setup_h'] as const).map((key) =>
        plain(words.machine[key], machine[key], `machine-${key}`, (v) => set({ machine: { ...machine, [key]: v } })),
      )}
      {words.factors.map((name, k) =>
        plain(name, setting.timeFactors[k]!, `time-factor-${k}`, (v) => {
          const [low, likely, high] = setting.timeFactors.map((old, i) => (i === k ? v : old))
          return set({ timeFactors: [low!, likely!, high!] })
        }),
      )}
      {plain('Machine hour', machine.cost_h, 'machine-cost', (cost_h) => set({ machine: { ...machine, cost_h } }))}
      {plain('Hand finishing, hours per m²', hand.h_m2, 'hand-hours', (h_m2) => set({ hand: { ...hand, h_m2 } }))}
      {plain('Hand hour', hand.cost_h, 'hand-cost', (cost_h) => set({ hand: { ...hand, cost_h } }))}
      <MeasureField
        label="Lifting limit"
        value={machine.liftLimit_kg}
        kind="mass"
        unit={unit}
        small
        testId="lift-limit"
        onApply={(v) => set({ machine: { ...machine, liftLimit_kg: v ?? machine.liftLimit_kg } })}
      />
    </section>
  )
}

function ClassFields(props: {
  name: string
  rates: ClassSetting
  unit: ShownUnit
  testId: string
  onChange: (next: ClassSetting) => string | null
}) {
  const { name, rates, unit, testId, onChange } = props
  const field = (key: keyof ClassSetting, label: string) => (
    <MeasureField
      label={label}
      value={rates[key]}
      kind="plain"
      unit={unit}
      small
      testId={`${testId}-${key}`}
      onApply={(v) => onChange({ ...rates, [key]: v ?? rates[key] })}
    />
  )
  return (
    <section className="slip-part" aria-label={name}>
      <h3>{name}</h3>
      {field('life_parts', 'Tops one tool makes')}
      {field('part_cost', 'Cost of one top out of it')}
      {field('laminate_cost_m2', 'Laminating a mould, per m²')}
      {field('lead_days', 'Days to the first top')}
    </section>
  )
}

/** The unit once, behind the last. */
const sizeText = (sides: readonly number[], unit: ShownUnit): string =>
  `${sides.map((v) => lengthFigure(v, unit, { digits: 0 }).value).join(' × ')} ${unit}`
