/** What the shell does under a fitting, with the gap under its base before and after; and the chases for wires. */
import { useState } from 'react'
import { useStore } from 'zustand'
import { PAD_MM, RECESS_MM } from '../../core/fitting/seat-settings'
import type { Chase, SeatFeature, SeatSettings } from '../../core/fitting/seat-types'
import type { FittingEntry } from '../../core/job'
import { addChase, changeChase, removeChase, setSeat, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit, settingFigure } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, SHELLS, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { chaseWords, seatWords as words } from '../words'

export function SeatFields({
  fitting,
  unit,
  stores,
}: {
  fitting: FittingEntry
  unit: ShownUnit
  stores: PanelProps['stores']
}) {
  const features = useStore(stores.results, (s) => s.steps.seats.result?.features)
  const { seat } = fitting
  const set = (change: Partial<SeatSettings>) => tryEdit(stores.jobs, setSeat(fitting.id, change))
  const mine = features?.filter((f) => f.id === fitting.id) ?? []
  return (
    <section className="slip-part" aria-label={words.seat}>
      <ChoiceField
        label={words.kind}
        value={seat.kind}
        choices={[
          ['none', words.kinds.none],
          ['pad', words.kinds.pad],
          ['recess', words.kinds.recess],
          ['sunk', words.kinds.sunk],
        ]}
        hint={seatText(mine, unit)}
        testId="seat-kind"
        onApply={(kind) => set({ kind })}
      />
      {seat.kind !== 'none' && (
        <>
          <MeasureField
            label={words.margin}
            value={seat.margin_mm}
            kind="length"
            unit={unit}
            testId="seat-margin"
            onApply={(v) => set({ margin_mm: v ?? 0 })}
          />
          <MeasureField
            label={seat.kind === 'pad' ? words.height : words.depth}
            value={seat.height_mm}
            whenNull={
              seat.kind === 'sunk' ? words.asBody : settingFigure(seat.kind === 'pad' ? PAD_MM : RECESS_MM, unit).value
            }
            kind="length"
            unit={unit}
            testId="seat-height"
            onApply={(height_mm) => set({ height_mm })}
          />
          <MeasureField
            label={words.draft}
            value={seat.draft_deg}
            whenNull={words.asShells}
            kind="angle"
            unit={unit}
            testId="seat-draft"
            onApply={(draft_deg) => set({ draft_deg })}
          />
          {RADII.map((key) => (
            <MeasureField
              key={key}
              label={words.radii[key]}
              value={seat[key]}
              whenNull={words.least}
              kind="length"
              unit={unit}
              testId={`seat-${key}`}
              onApply={(v) => set({ [key]: v })}
            />
          ))}
          {fitting.mirror === false && (
            <ChoiceField
              label={words.bothSides}
              value={seat.bothSides ? 'yes' : 'no'}
              choices={[
                ['no', words.both.no],
                ['yes', words.both.yes],
              ]}
              testId="seat-both"
              onApply={(v) => set({ bothSides: v === 'yes' })}
            />
          )}
        </>
      )}
    </section>
  )
}

const RADII = ['cornerRadius_mm', 'edgeRadius_mm', 'footRadius_mm'] as const

/** The gap under the base before and after, and the room behind. */
function seatText(features: readonly SeatFeature[], unit: ShownUnit): string {
  const made = features.filter((f) => f.built)
  if (features.length > made.length) return words.notMade
  if (made.length === 0) return ''
  const most = (of: (f: SeatFeature) => number | undefined) => Math.max(...made.map((f) => of(f) ?? 0))
  const gap = (mm: number) => lengthText(mm, unit, unit === 'mm' ? 2 : undefined, 'up')
  const room = Math.min(...made.map((f) => f.room_mm ?? Infinity))
  return [
    words.gap(gap(most((f) => f.before?.gap_mm)), gap(most((f) => f.after?.gap_mm))),
    words.rocks(gap(most((f) => f.before?.rock_mm)), gap(most((f) => f.after?.rock_mm))),
    ...(room < Infinity ? [words.room(lengthText(room, unit, undefined, 'down'))] : []),
  ].join('; ')
}

export function ChasePart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const chases = useStore(stores.jobs, (s) => s.history.job.chases)
  const [open, setOpen] = useState<string | null>(null)
  const chosen = chases.find((c) => c.id === open)
  return (
    <section className="slip-part" aria-label={chaseWords.title}>
      <ul className="rows" data-testid="chases">
        {chases.map((c) => (
          <li key={c.id}>
            <button
              type="button"
              className="link"
              aria-expanded={c.id === open}
              data-testid={`chase-${c.id}`}
              onClick={() => setOpen(c.id === open ? null : c.id)}
            >
              {c.name}
            </button>
            <span className="quiet">{c.mirror ? chaseWords.pair : chaseWords.one}</span>
          </li>
        ))}
      </ul>
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="add-chase"
          onClick={() => {
            tryEdit(
              stores.jobs,
              addChase(chaseWords.one, [
                [-100, 0],
                [100, 0],
              ]),
            )
            setOpen(stores.jobs.getState().history.job.chases.at(-1)?.id ?? null)
          }}
        >
          {chaseWords.add}
        </button>
      </p>
      {chosen && <OneChase key={chosen.id} chase={chosen} unit={unit} stores={stores} />}
    </section>
  )
}

function OneChase({ chase, unit, stores }: { chase: Chase; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const set = (change: Partial<Omit<Chase, 'id'>>) => tryEdit(stores.jobs, changeChase(chase.id, change))
  const [fault, setFault] = useState('')
  return (
    <>
      <TextField
        label={chaseWords.path}
        value={chase.path_mm.map((p) => p.join(', ')).join('; ')}
        hint={fault || chaseWords.pathHint}
        most={4000}
        testId="chase-path"
        onApply={(text) => {
          const path = readPath(text)
          setFault(path ? (set({ path_mm: path }) ?? '') : chaseWords.noPath)
        }}
      />
      {SIZES.map((key) => (
        <MeasureField
          key={key}
          label={chaseWords.sizes[key]}
          value={chase[key]}
          kind="length"
          unit={unit}
          testId={`chase-${key}`}
          onApply={(v) => set({ [key]: v ?? 0 })}
        />
      ))}
      <ChoiceField
        label={chaseWords.on}
        value={chase.on}
        choices={SHELLS}
        testId="chase-on"
        onApply={(on) => set({ on })}
      />
      <ChoiceField
        label={chaseWords.mirror}
        value={chase.mirror ? 'yes' : 'no'}
        choices={[
          ['no', chaseWords.mirrors.no],
          ['yes', chaseWords.mirrors.yes],
        ]}
        testId="chase-mirror"
        onApply={(v) => set({ mirror: v === 'yes' })}
      />
      <TextField
        label={chaseWords.name}
        value={chase.name}
        most={100}
        testId="chase-name"
        onApply={(name) => name.trim() && set({ name: name.trim() })}
      />
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="remove-chase"
          onClick={() => tryEdit(stores.jobs, removeChase(chase.id))}
        >
          {chaseWords.remove}
        </button>
      </p>
    </>
  )
}

const SIZES = ['width_mm', 'depth_mm', 'bendRadius_mm'] as const

/** “200, 0; -150, 40” as corners; null where it is not that. */
export function readPath(text: string): Chase['path_mm'] | null {
  const corners = readCorners(text, 2)
  return corners && corners.length >= 2 ? corners.map((c) => [c[0]!, c[1]!] as const) : null
}

/** Places with so many numbers each, a semicolon between them; null where it is not that. */
export function readCorners(text: string, numbers: 2 | 3): readonly (readonly number[])[] | null {
  const corners = text
    .split(';')
    .map((part) => part.trim())
    .filter((part) => part !== '')
    .map((part) => part.split(/[\s,]+/).map(Number))
  return corners.length > 0 && corners.every((c) => c.length === numbers && c.every(Number.isFinite)) ? corners : null
}
