/** Wires of the fittings: each with its way, its length, and what it loses. */
import { useState } from 'react'
import { useStore } from 'zustand'
import type { WireRun } from '../../core/fitting/types'
import type { Wire } from '../../core/fitting/wire-settings'
import { addWire, changeWire, removeWire, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit, trimmed } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { wireWords as words } from '../words'
import { readCorners } from './seat'

export function WirePart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const wires = useStore(stores.jobs, (s) => s.history.job.wires)
  const fittings = useStore(stores.jobs, (s) => s.history.job.fittings)
  const from = useStore(stores.session, (s) => s.fitting)
  const made = useStore(stores.results, (s) => s.steps.fitting.result?.wires)
  const fills = useStore(stores.results, (s) => s.steps.fitting.result?.fills)
  const [open, setOpen] = useState<string | null>(null)
  const chosen = wires.find((w) => w.id === open)
  if (fittings.length === 0) return null
  return (
    <section className="slip-part" aria-label={words.title}>
      <ul className="rows" data-testid="wires">
        {wires.map((w) => (
          <li key={w.id}>
            <button
              type="button"
              className="link"
              aria-expanded={w.id === open}
              data-testid={`wire-${w.id}`}
              onClick={() => setOpen(w.id === open ? null : w.id)}
            >
              {w.name}
            </button>
            <span className="quiet">
              {runText(
                made?.find((r) => r.id === w.id && !r.twin),
                unit,
              )}
            </span>
          </li>
        ))}
        {(fills ?? []).map((f) => (
          <li key={`${f.chase} ${f.name}`}>
            <span>{f.name}</span>
            <span className="quiet">{words.filled(`${trimmed(Math.ceil(f.fill * 1000) / 10, 1)} %`, f.wires)}</span>
          </li>
        ))}
      </ul>
      {wires.length > 0 && <p className="field-hint">{words.caution}</p>}
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="add-wire"
          onClick={() => {
            tryEdit(stores.jobs, addWire(from ?? fittings[0]!.id))
            setOpen(stores.jobs.getState().history.job.wires.at(-1)?.id ?? null)
          }}
        >
          {words.add}
        </button>
      </p>
      {chosen && <OneWire key={chosen.id} wire={chosen} unit={unit} stores={stores} />}
    </section>
  )
}

function runText(run: WireRun | undefined, unit: ShownUnit): string {
  if (!run) return words.loose
  const length = lengthText(run.cut_mm, unit, unit === 'mm' ? 0 : undefined, 'up')
  return run.drop === null ? length : `${length}, ${words.loses(`${trimmed(Math.ceil(run.drop * 1000) / 10, 1)} %`)}`
}

function OneWire({ wire, unit, stores }: { wire: Wire; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const fittings = useStore(stores.jobs, (s) => s.history.job.fittings)
  const chases = useStore(stores.jobs, (s) => s.history.job.chases)
  const [fault, setFault] = useState('')
  const set = (change: Partial<Omit<Wire, 'id'>>) => tryEdit(stores.jobs, changeWire(wire.id, change))
  const named = fittings.map((f): readonly [string, string] => [f.id, f.name])
  return (
    <>
      <TextField
        label={words.name}
        value={wire.name}
        most={100}
        testId="wire-name"
        onApply={(name) => name.trim() && set({ name: name.trim() })}
      />
      <ChoiceField
        label={words.from}
        value={wire.from}
        choices={named}
        testId="wire-from"
        onApply={(from) => set({ from })}
      />
      <ChoiceField
        label={words.to}
        value={wire.to ?? ''}
        choices={[['', words.out], ...named.filter(([id]) => id !== wire.from)]}
        testId="wire-to"
        onApply={(to) => set({ to: to === '' ? null : to })}
      />
      {wire.to === null && (
        <TextField
          label={words.exit}
          value={wire.exit_mm?.join(', ') ?? ''}
          hint={fault || words.exitHint}
          most={100}
          testId="wire-exit"
          onApply={(text) => {
            const place = readCorners(text, 3)?.[0]
            setFault(place ? (set({ exit_mm: [place[0]!, place[1]!, place[2]!] }) ?? '') : words.noPlace)
          }}
        />
      )}
      {chases.length > 0 &&
        Array.from({ length: Math.min(wire.chases.length + 1, chases.length) }, (_, i) => (
          <ChoiceField
            // biome-ignore lint/suspicious/noArrayIndexKey: the place in the order is what it stands for
            key={i}
            label={i === 0 ? words.chase : words.thenIn}
            value={wire.chases[i] ?? ''}
            choices={[
              ['', i === 0 ? words.noChase : words.noMore],
              ...chases
                .filter((c) => !wire.chases.slice(0, i).includes(c.id))
                .map((c): readonly [string, string] => [c.id, c.name]),
            ]}
            testId={`wire-chase-${i + 1}`}
            // What came after another chase may not fit any more; it is kept where it is not the same one.
            onApply={(id) =>
              set({
                chases: [
                  ...wire.chases.slice(0, i),
                  ...(id === '' ? [] : [id, ...wire.chases.slice(i + 1).filter((c) => c !== id)]),
                ],
              })
            }
          />
        ))}
      {wire.chases.length === 0 && (
        <TextField
          label={words.via}
          value={wire.via_mm.map((p) => p.join(', ')).join('; ')}
          hint={words.viaHint}
          most={4000}
          testId="wire-via"
          onApply={(text) => {
            const via = text.trim() === '' ? [] : readCorners(text, 2)
            if (via) set({ via_mm: via.map((p) => [p[0]!, p[1]!] as const) })
          }}
        />
      )}
      <ChoiceField
        label={words.twin}
        value={wire.mirror ? 'yes' : 'no'}
        choices={[
          ['no', words.one],
          ['yes', words.both],
        ]}
        testId="wire-mirror"
        onApply={(v) => set({ mirror: v === 'yes' })}
      />
      <ChoiceField
        label={words.loss}
        value={wire.allowedDrop <= 0.03 ? 'little' : 'more'}
        choices={[
          ['little', words.little],
          ['more', words.more],
        ]}
        hint={words.lossHint}
        testId="wire-loss"
        onApply={(v) => set({ allowedDrop: v === 'little' ? 0.03 : 0.1 })}
      />
      <MeasureField
        label={words.outside}
        value={wire.outside_mm}
        kind="length"
        unit={unit}
        testId="wire-outside"
        onApply={(v) => set({ outside_mm: v ?? wire.outside_mm })}
      />
      {FIGURES.map(([key, label, of]) => (
        <TextField
          key={key}
          label={`${label}, ${of}`}
          value={wire[key] === null ? '' : String(key === 'slack' ? 100 * wire.slack : wire[key])}
          most={12}
          testId={`wire-${key}`}
          onApply={(text) => {
            const typed = Number(text.replace(',', '.'))
            if (text.trim() === '' && key === 'current_A') set({ current_A: null })
            else if (text.trim() !== '' && Number.isFinite(typed)) set({ [key]: key === 'slack' ? typed / 100 : typed })
          }}
        />
      ))}
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="remove-wire"
          onClick={() => tryEdit(stores.jobs, removeWire(wire.id))}
        >
          {words.remove}
        </button>
      </p>
    </>
  )
}

const FIGURES = [
  ['section_mm2', words.section, 'mm²'],
  ['current_A', words.current, 'A'],
  ['supply_V', words.supply, 'V'],
  ['slack', words.slack, '%'],
] as const
