/** Everything the job may say about laminate, bag, joint and rates: plies in their order, core, pressures, money. */
import { Fragment } from 'react'
import { CORES, FABRICS } from '../../core/build-plan/materials'
import type { BuildSettings, CoreEntry, PlyEntry } from '../../core/build-plan/types'
import type { ShownUnit } from '../../state/format'
import { ChoiceField } from '../fields/choice-field'
import { LinkRow } from '../fields/link-row'
import { MeasureField } from '../fields/measure-field'
import { MeasureFields } from '../fields/measure-fields'
import { buildSettingWords as words } from '../words'
import { PlyFields } from './ply-fields'

type Set = (change: Partial<BuildSettings>) => string | null

interface Props {
  readonly setting: BuildSettings
  readonly unit: ShownUnit
  readonly set: Set
}

export function BuildSettingsPart({ setting, unit, set }: Props) {
  return (
    <details className="slip-more" data-testid="more-build">
      <summary>{words.summary}</summary>
      <Plies shell="underside" setting={setting} unit={unit} set={set} />
      <Plies shell="topside" setting={setting} unit={unit} set={set} />
      <section className="slip-part" aria-label={words.bag}>
        <h3>{words.bag}</h3>
        {setting.process === 'infusion' && <Bag setting={setting} unit={unit} set={set} />}
        <MeasureFields
          of={setting}
          rows={[...lengths('dropOff_mm', 'rollWidth_mm'), ...plain('waste', 'panelLoad_Pa')]}
          unit={unit}
          testId="build"
          onChange={set}
        />
      </section>
      <section className="slip-part" aria-label={words.joint}>
        <h3>{words.joint}</h3>
        <MeasureFields
          of={setting}
          rows={plain('pasteWork_min', 'clamp_Pa', 'bag_kg')}
          unit={unit}
          testId="build"
          onChange={set}
        />
      </section>
      <section className="slip-part" aria-label={words.rates}>
        <h3>{words.rates}</h3>
        <MeasureFields
          of={setting.rates}
          rows={(Object.keys(words.rate) as (keyof BuildSettings['rates'])[]).map((key) => [
            key,
            words.rate[key],
            'plain',
          ])}
          unit={unit}
          testId="build-rate"
          onChange={(change) => set({ rates: { ...setting.rates, ...change } })}
        />
        <p className="field-hint">{words.ratesHint}</p>
      </section>
    </details>
  )
}

function Bag({ setting, unit, set }: Props) {
  return (
    <>
      <MeasureFields of={setting} rows={plain('bag_mbar')} unit={unit} testId="build" onChange={set} />
      <ChoiceField
        label={words.medium}
        value={setting.flowMedium ? 'yes' : 'no'}
        choices={[
          ['yes', words.mediumYes],
          ['no', words.mediumNo],
        ]}
        testId="build-medium"
        onApply={(v) => set({ flowMedium: v === 'yes' })}
      />
      <MeasureFields of={setting} rows={lengths('feedBore_mm')} unit={unit} testId="build" onChange={set} />
    </>
  )
}

const plain = (...keys: readonly (keyof typeof words.plain)[]) =>
  keys.map((key) => [key, words.plain[key], 'plain'] as const)
const lengths = (...keys: readonly (keyof typeof words.length)[]) =>
  keys.map((key) => [key, words.length[key]] as const)

/** The schedule of a shell from the mould outwards, and its core. */
function Plies({ shell, setting, unit, set }: Props & { shell: 'underside' | 'topside' }) {
  const plies = setting[shell]
  const coreKey = shell === 'underside' ? 'undersideCore' : 'topsideCore'
  const core = setting[coreKey]
  const place = (k: number) => `ply-${shell}-${k + 1}`
  const putPlies = (next: readonly PlyEntry[]) => set({ [shell]: next })
  const putCore = (next: CoreEntry | null) => set({ [coreKey]: next })
  return (
    <section className="slip-part" aria-label={words.plies(shell)}>
      <h3>{words.plies(shell)}</h3>
      {plies.map((ply, k) => (
        <Fragment key={place(k)}>
          <PlyFields
            ply={ply}
            unit={unit}
            testId={place(k)}
            onChange={(change) => putPlies(plies.map((p, i) => (i === k ? { ...p, ...change } : p)))}
          />
          {plies.length > 1 && (
            <LinkRow onClick={() => putPlies(plies.filter((_, i) => i !== k))}>{words.removePly}</LinkRow>
          )}
        </Fragment>
      ))}
      <LinkRow testId={`ply-${shell}-add`} onClick={() => putPlies([...plies, { fabric: FABRICS[0]!.id, layers: 1 }])}>
        {words.addPly}
      </LinkRow>
      <ChoiceField
        label={words.core}
        value={core?.kind ?? ''}
        choices={[['', words.noCore] as const, ...CORES.map((c) => [c.id, c.name] as const)]}
        testId={`core-${shell}`}
        onApply={(kind) => putCore(kind === '' ? null : { kind, thickness_mm: core?.thickness_mm ?? 10 })}
      />
      {core && (
        <MeasureField
          label={words.coreThickness}
          value={core.thickness_mm}
          kind="length"
          unit={unit}
          small
          testId={`core-${shell}-thickness`}
          onApply={(v) => putCore({ ...core, thickness_mm: v ?? core.thickness_mm })}
        />
      )}
    </section>
  )
}
