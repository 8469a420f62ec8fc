/** Cutters added to the list, and further set-ups of the spindle. */
import type { ToolingSettings } from '../../core/tooling'
import type { ShownUnit } from '../../state/format'
import { LinkRow } from '../fields/link-row'
import { AxisFields } from '../fields/measure-fields'
import { toolingWords as words } from '../words'

interface Props {
  readonly setting: ToolingSettings
  readonly set: (change: Partial<ToolingSettings>) => string | null
}

/** A copy of the last cutter of half its size: smaller ones follow larger ones. */
export function AddCutter({ setting, set }: Props) {
  const last = setting.cutters.at(-1)
  if (!last) return null
  const half = { ...last, diameter_mm: last.diameter_mm / 2, cornerRadius_mm: last.cornerRadius_mm / 2 }
  let name = words.smaller(half.diameter_mm)
  while (setting.cutters.some((c) => c.name === name)) name += ', again'
  return (
    <LinkRow
      testId="cutter-add"
      onClick={() => set({ cutters: [...setting.cutters, { ...half, name, use: 'finish' }] })}
    >
      {words.addCutter}
    </LinkRow>
  )
}

/** Directions towards the spindle in tool axes, beside straight down. */
export function SetUps({ setting, unit, set }: Props & { unit: ShownUnit }) {
  const { directions } = setting
  return (
    <section className="slip-part" aria-label={words.setUps} data-testid="tooling-set-ups">
      <h3>{words.setUps}</h3>
      {directions.length === 0 && <p className="field-hint">{words.noSetUps}</p>}
      {directions.map((direction, i) => (
        <section key={words.setUp(i + 1)} aria-label={words.setUp(i + 1)}>
          <AxisFields
            value={direction}
            label={(axis) => `${words.setUp(i + 1)}, ${axis}`}
            kind="plain"
            unit={unit}
            testId={`set-up-${i + 1}`}
            onChange={(next) => set({ directions: directions.map((d, j) => (j === i ? next : d)) })}
          />
          <LinkRow onClick={() => set({ directions: directions.filter((_, j) => j !== i) })}>
            {words.removeSetUp}
          </LinkRow>
        </section>
      ))}
      <LinkRow testId="set-up-add" onClick={() => set({ directions: [...directions, [0, 0.5, 1]] })}>
        {words.addSetUp}
      </LinkRow>
    </section>
  )
}
