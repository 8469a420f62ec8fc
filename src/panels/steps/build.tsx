import { useStore } from 'zustand'
import { RESINS } from '../../core/build-plan/materials'
import { type BondPlan, INLETS, type ShellPlan } from '../../core/build-plan/types'
import { setBuild, tryEdit } from '../../state/edit'
import { areaText, lengthText, massText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { FillingRows, INLET_WORDS, PlacedFeeds } from './build-filling'
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
          label="Laminated by"
          value={setting.process}
          choices={[
            ['infusion', 'infusion'],
            ['hand', 'hand'],
          ]}
          testId="build-process"
          onApply={(process) => set({ process })}
        />
        <ChoiceField
          label="Resin"
          value={setting.resin}
          choices={RESINS.map((r) => [r.id, r.name] as const)}
          hint="starting values; put your data sheet’s in their place"
          testId="build-resin"
          onApply={(resin) => set({ resin })}
        />
        {setting.process === 'infusion' && (
          <ChoiceField
            label="Resin is fed from"
            value={setting.inlet}
            choices={INLETS.map((i) => [i, INLET_WORDS[i]] as const)}
            testId="build-inlet"
            onApply={(inlet) => set({ inlet })}
          />
        )}
        <MeasureField
          label="Temperature of the shop, °C"
          value={setting.shop_C}
          kind="plain"
          unit={unit}
          testId="build-shop"
          onApply={(v) => set({ shop_C: v ?? setting.shop_C })}
        />
        <MeasureField
          label="Gelcoat"
          value={setting.gelcoat_mm}
          kind="length"
          unit={unit}
          hint="0.4 to 0.8 mm is usual"
          testId="build-gelcoat"
          onApply={(v) => set({ gelcoat_mm: v ?? setting.gelcoat_mm })}
        />
        <BuildSettingsPart setting={setting} unit={unit} set={set} />
      </section>
      {made && (
        <>
          <section className="slip-part">
            <h3>whole top</h3>
            <Rows
              testId="build-whole"
              rows={[
                ['weight', massText(made.mass_kg, unit)],
                ['forward of the origin', lengthText(made.centre[0], unit, 0)],
                ['to port', lengthText(made.centre[1], unit, 0)],
                ['up', lengthText(made.centre[2], unit, 0)],
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
            <h3>to order</h3>
            <Rows
              testId="build-order"
              rows={[
                ...made.order.map((o) => [o.what, `${o.amount.toFixed(1)} ${o.unit}`] as const),
                ['materials, at invented rates', made.cost.toFixed(0)] as const,
              ]}
            />
            <p className="links">
              <button
                type="button"
                className="link"
                data-testid="print-traveller"
                onClick={() => actions.printTraveller()}
              >
                print the traveller
              </button>
            </p>
          </section>
          <p className="caution">
            Resins, hardeners and paste burn and harm: ventilate, gloves, eye protection, no sparks. Whether the
            laminate is strong enough is for a qualified designer (ISO 12215-5 is the place to look).
          </p>
        </>
      )}
    </>
  )
}

function ShellRows({ shell, unit }: { shell: ShellPlan; unit: ShownUnit }) {
  const rows: (readonly [string, string])[] = [
    ...shell.lines.map((l) => [`${l.layers} × ${l.what}`, massText(l.glass_kg, unit)] as const),
    ['resin', massText(shell.resin_kg, unit)],
    ['thickness', lengthText(shell.thickness_mm, unit)],
    ['weight', massText(shell.mass_kg, unit)],
    [shell.other.process === 'hand' ? 'by hand instead' : 'infused instead', massText(shell.other.mass_kg, unit)],
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
    <h3>joint</h3>
    <Rows
      testId="build-joint"
      rows={[
        ['gap', `${bond.gap_mm.min.toFixed(1)} to ${lengthText(bond.gap_mm.max, unit)}`],
        ['bonded', areaText(bond.area_m2 * 1e6, unit)],
        ['paste', `${bond.paste_l.toFixed(2)} l`],
        ['putty', `${bond.putty_l.toFixed(2)} l`],
        ['bead, leg', lengthText(bond.beadLeg_mm, unit, 0)],
        ['working time', `${bond.work_min.toFixed(0)} min`],
        ['bags to weigh it down', String(bond.bags)],
      ]}
    />
  </section>
)
