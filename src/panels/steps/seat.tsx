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
    <section className="slip-part" aria-label="seat">
      <ChoiceField
        label="Under it"
        value={seat.kind}
        choices={[
          ['none', 'the shell as it is'],
          ['pad', 'a pad'],
          ['recess', 'a recess'],
          ['sunk', 'a pocket for the whole body'],
        ]}
        hint={seatWords(mine, unit)}
        testId="seat-kind"
        onApply={(kind) => set({ kind })}
      />
      {seat.kind !== 'none' && (
        <>
          <MeasureField
            label="Flat beyond the outline"
            value={seat.margin_mm}
            kind="length"
            unit={unit}
            testId="seat-margin"
            onApply={(v) => set({ margin_mm: v ?? 0 })}
          />
          <MeasureField
            label={seat.kind === 'pad' ? 'Least height' : 'Least depth'}
            value={seat.height_mm}
            whenNull={
              seat.kind === 'sunk'
                ? 'as the body is high'
                : settingFigure(seat.kind === 'pad' ? PAD_MM : RECESS_MM, unit).value
            }
            kind="length"
            unit={unit}
            testId="seat-height"
            onApply={(height_mm) => set({ height_mm })}
          />
          <MeasureField
            label="Draft of its wall"
            value={seat.draft_deg}
            whenNull="as the shells"
            kind="angle"
            unit={unit}
            testId="seat-draft"
            onApply={(draft_deg) => set({ draft_deg })}
          />
          {RADII.map(([key, label]) => (
            <MeasureField
              key={key}
              label={label}
              value={seat[key]}
              whenNull="least"
              kind="length"
              unit={unit}
              testId={`seat-${key}`}
              onApply={(v) => set({ [key]: v })}
            />
          ))}
          {fitting.mirror === false && (
            <ChoiceField
              label="The same shape on the other side"
              value={seat.bothSides ? 'yes' : 'no'}
              choices={[
                ['no', 'no'],
                ['yes', 'yes, under nothing'],
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

const RADII = [
  ['cornerRadius_mm', 'Corners in plan'],
  ['edgeRadius_mm', 'Outer edge'],
  ['footRadius_mm', 'Foot'],
] as const

/** The gap under the base before and after, and the room behind. */
function seatWords(features: readonly SeatFeature[], unit: ShownUnit): string {
  const made = features.filter((f) => f.built)
  if (features.length > made.length) return 'not made; the findings say why'
  if (made.length === 0) return ''
  const most = (of: (f: SeatFeature) => number | undefined) => Math.max(...made.map((f) => of(f) ?? 0))
  const gap = (mm: number) => lengthText(mm, unit, unit === 'mm' ? 2 : undefined, 'up')
  const room = Math.min(...made.map((f) => f.room_mm ?? Infinity))
  return [
    `gap under the base ${gap(most((f) => f.before?.gap_mm))} before, ${gap(most((f) => f.after?.gap_mm))} after`,
    `rocks by ${gap(most((f) => f.before?.rock_mm))} before, ${gap(most((f) => f.after?.rock_mm))} after`,
    ...(room < Infinity ? [`${lengthText(room, unit, undefined, 'down')} to the other shell behind it`] : []),
  ].join('; ')
}

export function ChasePart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const chases = useStore(stores.jobs, (s) => s.history.job.chases)
  const [open, setOpen] = useState<string | null>(null)
  const chosen = chases.find((c) => c.id === open)
  return (
    <section className="slip-part" aria-label="chases">
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
            <span className="quiet">{c.mirror ? 'chase and its mirror image' : 'chase'}</span>
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
              addChase('chase', [
                [-100, 0],
                [100, 0],
              ]),
            )
            setOpen(stores.jobs.getState().history.job.chases.at(-1)?.id ?? null)
          }}
        >
          add a chase for wires
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
        label="Corners in plan, mm"
        value={chase.path_mm.map((p) => p.join(', ')).join('; ')}
        hint={fault || 'forward, to port; the next corner after a semicolon'}
        most={4000}
        testId="chase-path"
        onApply={(text) => {
          const path = readPath(text)
          setFault(path ? (set({ path_mm: path }) ?? '') : 'Not a line: 200, 0; -150, 40 is.')
        }}
      />
      {SIZES.map(([key, label]) => (
        <MeasureField
          key={key}
          label={label}
          value={chase[key]}
          kind="length"
          unit={unit}
          testId={`chase-${key}`}
          onApply={(v) => set({ [key]: v ?? 0 })}
        />
      ))}
      <ChoiceField label="Runs in" value={chase.on} choices={SHELLS} testId="chase-on" onApply={(on) => set({ on })} />
      <ChoiceField
        label="Mirror image"
        value={chase.mirror ? 'yes' : 'no'}
        choices={[
          ['no', 'none'],
          ['yes', 'about the centreline'],
        ]}
        testId="chase-mirror"
        onApply={(v) => set({ mirror: v === 'yes' })}
      />
      <TextField
        label="Name"
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
          take it out
        </button>
      </p>
    </>
  )
}

const SIZES = [
  ['width_mm', 'Width of the floor'],
  ['depth_mm', 'Depth'],
  ['bendRadius_mm', 'Radius of its bends'],
] as const

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
