import { useStore } from 'zustand'
import { RESINS } from '../../core/build-plan/materials'
import { type BondPlan, INLETS, type ShellPlan } from '../../core/build-plan/types'
import { setBuild, tryEdit } from '../../state/edit'
import { areaText, lengthText, massText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { LinkRow } from '../fields/link-row'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { fillingWords, buildWords as words } from '../words'
import { FillingRows, PlacedFeeds } from './build-filling'
import { Flats } from './build-flats'
import { Cure, Spans, Zones } from './build-more'
import { BuildSettingsPart } from './build-settings'

export function BuildSlip({ stores, actions }: PanelProps) {
  const setting = useStore(stores.jobs, (s) => s.history.job.build)
  const made = useStore(stores.results, (s) => s.steps.build.result)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const set = (change: Parameters<typeof setBuild>[0]) => tryEdit(stores.jobs, setBuild(change))
  return (
    <>
      <section className="slip-part">
        <ChoiceField
          label={words.process}
          value={setting.process}
          choices={[
            ['infusion', words.processes.infusion],
            ['hand', words.processes.hand],
          ]}
          testId="build-process"
          onApply={(process) => set({ process })}
        />
        <ChoiceField
          label={words.resin}
          value={setting.resin}
          choices={RESINS.map((r) => [r.id, r.name] as const)}
          hint={words.resinHint}
          testId="build-resin"
          onApply={(resin) => set({ resin })}
        />
        {setting.process === 'infusion' && (
          <ChoiceField
            label={words.inlet}
            value={setting.inlet}
            choices={INLETS.map((i) => [i, fillingWords.inlets[i]] as const)}
            testId="build-inlet"
            onApply={(inlet) => set({ inlet })}
          />
        )}
        <MeasureField
          label={words.shop}
          value={setting.shop_C}
          kind="plain"
          unit={unit}
          testId="build-shop"
          onApply={(v) => set({ shop_C: v ?? setting.shop_C })}
        />
        <MeasureField
          label={words.gelcoat}
          value={setting.gelcoat_mm}
          kind="length"
          unit={unit}
          hint={words.gelcoatHint}
          testId="build-gelcoat"
          onApply={(v) => set({ gelcoat_mm: v ?? setting.gelcoat_mm })}
        />
        <BuildSettingsPart setting={setting} unit={unit} set={set} />
      </section>
      {made && (
        <>
          <section className="slip-part">
            <h3>{words.whole}</h3>
            <Rows
              testId="build-whole"
              rows={[
                [words.weight, massText(made.mass_kg, unit)],
                ...words.centre.map((along, k) => [along, lengthText(made.centre[k]!, unit, 0)] as const),
              ]}
            />
          </section>
          {made.shells.map((shell) => (
            <ShellRows key={shell.name} shell={shell} unit={unit} />
          ))}
          {made.infusion.map((plan) => (
            <FillingRows key={plan.name} stores={stores} plan={plan} unit={unit} />
          ))}
          {setting.process === 'infusion' && <PlacedFeeds stores={stores} unit={unit} />}
          <Zones stores={stores} unit={unit} made={made} />
          <Flats made={made} unit={unit} />
          <Spans made={made} unit={unit} />
          <Cure stores={stores} made={made} />
          {made.bond && <BondRows bond={made.bond} unit={unit} />}
          <section className="slip-part">
            <h3>{words.order}</h3>
            <Rows
              testId="build-order"
              rows={[
                ...made.order.map((o) => [o.what, `${o.amount.toFixed(1)} ${o.unit}`] as const),
                [words.cost, made.cost.toFixed(0)] as const,
              ]}
            />
            <LinkRow testId="print-traveller" onClick={() => actions.printTraveller()}>
              {words.traveller}
            </LinkRow>
          </section>
          <p className="caution">{words.caution}</p>
        </>
      )}
    </>
  )
}

function ShellRows({ shell, unit }: { shell: ShellPlan; unit: ShownUnit }) {
  const rows: (readonly [string, string])[] = [
    ...shell.lines.map((l) => [words.plies(l.layers, l.what), massText(l.glass_kg, unit)] as const),
    [words.resinMass, massText(shell.resin_kg, unit)],
    [words.thickness, lengthText(shell.thickness_mm, unit)],
    [words.weight, massText(shell.mass_kg, unit)],
    [words.instead[shell.other.process], massText(shell.other.mass_kg, unit)],
  ]
  return (
    <section className="slip-part">
      <h3>{shell.name}</h3>
      <Rows testId={`build-${shell.name}`} rows={rows} />
    </section>
  )
}

const BondRows = ({ bond, unit }: { bond: BondPlan; unit: ShownUnit }) => (
  <section className="slip-part">
    <h3>{words.joint}</h3>
    <Rows
      testId="build-joint"
      rows={[
        [words.gap, words.gaps(lengthText(bond.gap_mm.min, unit), lengthText(bond.gap_mm.max, unit))],
        [words.bonded, areaText(bond.area_m2 * 1e6, unit)],
        [words.paste, words.litres(bond.paste_l.toFixed(2))],
        [words.putty, words.litres(bond.putty_l.toFixed(2))],
        [words.bead, lengthText(bond.beadLeg_mm, unit, 0)],
        [words.work, words.minutes(bond.work_min.toFixed(0))],
        [words.bags, String(bond.bags)],
      ]}
    />
  </section>
)
