/** Everything the job may say about laminate, bag, joint and rates: plies in their order, core, pressures, money. */
import { CORES, FABRICS } from '../../core/build-plan/materials'
import type { BuildSettings, CoreEntry, PlyEntry } from '../../core/build-plan/types'
import type { ShownUnit } from '../../state/format'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { buildSettingWords as words } from '../words'

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
        <LengthSetting name="dropOff_mm" setting={setting} unit={unit} set={set} />
        <LengthSetting name="rollWidth_mm" setting={setting} unit={unit} set={set} />
        <PlainSetting name="waste" setting={setting} unit={unit} set={set} />
        <PlainSetting name="panelLoad_Pa" setting={setting} unit={unit} set={set} />
      </section>
      <section className="slip-part" aria-label={words.joint}>
        <h3>{words.joint}</h3>
        <PlainSetting name="pasteWork_min" setting={setting} unit={unit} set={set} />
        <PlainSetting name="clamp_Pa" setting={setting} unit={unit} set={set} />
        <PlainSetting name="bag_kg" setting={setting} unit={unit} set={set} />
      </section>
      <section className="slip-part" aria-label={words.rates}>
        <h3>{words.rates}</h3>
        {(Object.keys(words.rate) as (keyof BuildSettings['rates'])[]).map((key) => (
          <MeasureField
            key={key}
            label={words.rate[key]}
            value={setting.rates[key]}
            kind="plain"
            unit={unit}
            small
            testId={`build-rate-${key}`}
            onApply={(v) => set({ rates: { ...setting.rates, [key]: v ?? setting.rates[key] } })}
          />
        ))}
        <p className="field-hint">{words.ratesHint}</p>
      </section>
    </details>
  )
}

function Bag({ setting, unit, set }: Props) {
  return (
    <>
      <PlainSetting name="bag_mbar" setting={setting} unit={unit} set={set} />
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
      <LengthSetting name="feedBore_mm" setting={setting} unit={unit} set={set} />
    </>
  )
}

function PlainSetting({ name, setting, unit, set }: Props & { name: keyof typeof words.plain }) {
  return (
    <MeasureField
      label={words.plain[name]}
      value={setting[name]}
      kind="plain"
      unit={unit}
      small
      testId={`build-${name}`}
      onApply={(v) => set({ [name]: v ?? setting[name] })}
    />
  )
}

function LengthSetting({ name, setting, unit, set }: Props & { name: keyof typeof words.length }) {
  return (
    <MeasureField
      label={words.length[name]}
      value={setting[name]}
      kind="length"
      unit={unit}
      small
      testId={`build-${name}`}
      onApply={(v) => set({ [name]: v ?? setting[name] })}
    />
  )
}

/** The schedule of a shell from the mould outwards, and its core. */
function Plies({ shell, setting, unit, set }: Props & { shell: 'underside' | 'topside' }) {
  const plies = setting[shell]
  const coreKey = shell === 'underside' ? 'undersideCore' : 'topsideCore'
  const core = setting[coreKey]
  const putPlies = (next: readonly PlyEntry[]) => set({ [shell]: next })
  const putCore = (next: CoreEntry | null) => set({ [coreKey]: next })
  const id = (k: number, what: string) => `ply-${shell}-${k + 1}-${what}`
  return (
    <section className="slip-part" aria-label={words.plies(shell)}>
      <h3>{words.plies(shell)}</h3>
      {plies.map((ply, k) => {
        const put = (change: Partial<PlyEntry>) => putPlies(plies.map((p, i) => (i === k ? { ...p, ...change } : p)))
        return (
          <PlyFields
            key={id(k, ply.fabric)}
            ply={ply}
            unit={unit}
            testId={id(k, '')}
            onChange={put}
            onRemove={plies.length > 1 ? () => putPlies(plies.filter((_, i) => i !== k)) : null}
          />
        )
      })}
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid={`ply-${shell}-add`}
          onClick={() => putPlies([...plies, { fabric: FABRICS[0]!.id, layers: 1 }])}
        >
          {words.addPly}
        </button>
      </p>
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

function PlyFields(props: {
  ply: PlyEntry
  unit: ShownUnit
  testId: string
  onChange: (change: Partial<PlyEntry>) => string | null
  onRemove: (() => void) | null
}) {
  const { ply, unit, testId, onChange, onRemove } = props
  return (
    <>
      <ChoiceField
        label={words.fabric}
        value={ply.fabric}
        choices={FABRICS.map((f) => [f.id, f.name] as const)}
        testId={`${testId}fabric`}
        onApply={(fabric) => onChange({ fabric })}
      />
      <MeasureField
        label={words.layers}
        value={ply.layers}
        kind="plain"
        unit={unit}
        small
        testId={`${testId}layers`}
        onApply={(v) => onChange({ layers: Math.round(v ?? ply.layers) })}
      />
      {onRemove && (
        <p className="links">
          <button type="button" className="link" onClick={onRemove}>
            {words.removePly}
          </button>
        </p>
      )}
    </>
  )
}
