/** Fasteners of the chosen fitting, and the rooms that it wants free. */
import { useState } from 'react'
import { useStore } from 'zustand'
import { FASTENS_INTO, KEEP_OUT_DEFAULTS, KEEP_OUT_SHAPES, type KeepOut } from '../../core/fitting/fastening-settings'
import type { Fastener, RoomCheck } from '../../core/fitting/types'
import type { Point } from '../../core/geometry/axes'
import type { FittingEntry } from '../../core/job'
import { changeFitting, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { fasteningWords as words } from '../words'

interface Props {
  readonly fitting: FittingEntry
  readonly unit: ShownUnit
  readonly stores: PanelProps['stores']
}

export function FasteningPart({ fitting, unit, stores }: Props) {
  const made = useStore(stores.results, (s) => s.steps.fitting.result?.fasteners)
  const set = (change: Partial<FittingEntry['fasteners']>) =>
    tryEdit(stores.jobs, changeFitting(fitting.id, { fasteners: { ...fitting.fasteners, ...change } }))
  const { holes, into, added } = fitting.fasteners
  const mine = made?.filter((f) => f.fitting === fitting.id) ?? []
  return (
    <section className="slip-part" aria-label={words.title}>
      <ChoiceField
        label={words.holes}
        value={holes ? 'use' : 'ignore'}
        choices={[
          ['use', words.use],
          ['ignore', words.ignore],
        ]}
        testId="fasteners-holes"
        onApply={(v) => set({ holes: v === 'use' })}
      />
      <ChoiceField
        label={words.into}
        value={into}
        choices={FASTENS_INTO.map((v) => [v, words.intos[v]] as const)}
        testId="fasteners-into"
        onApply={(v) => set({ into: v })}
      />
      <ul className="rows" data-testid="fasteners">
        {mine.map((f) => (
          <li key={`${f.name}${f.twin}`}>
            <button type="button" className="link" onClick={() => flyTo(stores, f.onFace ?? f.at)}>
              {words.one(f.name, lengthText(f.diameter_mm, unit), f.twin)}
            </button>
            <span className="quiet">{fastenerText(f, unit)}</span>
          </li>
        ))}
      </ul>
      {mine.length === 0 && <p className="field-hint">{words.none}</p>}
      {added.map(({ at_mm: [x, y], diameter_mm }, i) => {
        const change = (to: { at_mm?: readonly [number, number]; diameter_mm?: number }) =>
          set({ added: added.map((a, k) => (k === i ? { ...a, ...to } : a)) })
        return (
          <div key={words.forward(i + 1)}>
            <MeasureField
              label={words.forward(i + 1)}
              value={x}
              kind="length"
              unit={unit}
              testId={`fastener-x-${i}`}
              onApply={(v) => change({ at_mm: [v ?? 0, y] })}
            />
            <MeasureField
              label={words.left}
              value={y}
              kind="length"
              unit={unit}
              testId={`fastener-y-${i}`}
              onApply={(v) => change({ at_mm: [x, v ?? 0] })}
            />
            <MeasureField
              label={words.diameter}
              value={diameter_mm}
              kind="length"
              unit={unit}
              testId={`fastener-d-${i}`}
              onApply={(v) => change({ diameter_mm: v ?? diameter_mm })}
            />
            <p className="links">
              <button
                type="button"
                className="link"
                data-testid={`remove-fastener-${i}`}
                onClick={() => set({ added: added.filter((_, k) => k !== i) })}
              >
                {words.remove}
              </button>
            </p>
          </div>
        )
      })}
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="add-fastener"
          onClick={() => set({ added: [...added, { at_mm: [0, 0], diameter_mm: 6.5 }] })}
        >
          {words.add}
        </button>
      </p>
    </section>
  )
}

/** Cuts the drawing through the place and takes the eye there. */
export function flyTo({ session }: PanelProps['stores'], at: Point): void {
  const spot: Point<'job'> = [at[0], at[1], at[2]]
  session.setState({ finding: null, uncut: false, section: { across: 'y', at_mm: at[1], spot }, lookAt: spot })
}

function fastenerText(f: Fastener, unit: ShownUnit): string {
  if (f.grip_mm === null) return words.noShell
  const free = Math.min(f.freeToFrame_mm ?? Infinity, f.freeToShell_mm ?? Infinity)
  const parts = [words.grip(lengthText(f.grip_mm, unit))]
  if (Number.isFinite(free)) parts.push(words.behind(lengthText(free, unit, undefined, 'down')))
  const wall = Math.min(f.wallOver_mm ?? Infinity, f.wallBehind_mm ?? Infinity)
  if (wall < 2 * f.neededBeside_mm) parts.push(words.wall(lengthText(wall, unit, undefined, 'down')))
  if (f.tube && (f.into === 'tube' || f.tube.gap_mm < 50))
    parts.push(
      f.tube.gap_mm < 0 ? words.inTube(f.tube.name) : words.offTube(f.tube.name, lengthText(f.tube.gap_mm, unit)),
    )
  return parts.join(' · ')
}

export function RoomPart({ fitting, unit, stores }: Props) {
  const made = useStore(stores.results, (s) => s.steps.fitting.result?.rooms)
  const [open, setOpen] = useState<number | null>(null)
  const set = (keepOuts: readonly KeepOut[]) => tryEdit(stores.jobs, changeFitting(fitting.id, { keepOuts }))
  const all = fitting.keepOuts
  const room = open === null ? undefined : all[open]
  const change = (to: Partial<KeepOut>) => set(all.map((r, k) => (k === open ? { ...r, ...to } : r)))
  const mine = made?.filter((r) => r.fitting === fitting.id && !r.twin) ?? []
  return (
    <section className="slip-part" aria-label={words.rooms}>
      <ul className="rows" data-testid="rooms">
        {all.map((r, i) => (
          <li key={words.numbered(r.name, i + 1)}>
            <button
              type="button"
              className="link"
              aria-expanded={i === open}
              data-testid={`room-${i}`}
              onClick={() => {
                setOpen(i === open ? null : i)
                const [first] = mine[i]?.against ?? []
                if (i !== open && first && first.depth_mm > 0) flyTo(stores, first.where)
              }}
            >
              {r.name}
            </button>
            <span className="quiet">{roomText(mine[i], unit)}</span>
          </li>
        ))}
      </ul>
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="add-room"
          onClick={() => {
            set([...all, { ...KEEP_OUT_DEFAULTS, name: words.newRoom }])
            setOpen(all.length)
          }}
        >
          {words.addRoom}
        </button>
      </p>
      {room && (
        <>
          <TextField
            label={words.name}
            value={room.name}
            most={100}
            testId="room-name"
            onApply={(name) => name.trim() && change({ name: name.trim() })}
          />
          <ChoiceField
            label={words.shape}
            value={room.shape}
            choices={KEEP_OUT_SHAPES.map((s) => [s, words.shapes[s]] as const)}
            testId="room-shape"
            onApply={(shape) => change({ shape })}
          />
          <Triple
            label={words.from}
            hint={words.fromHint}
            value={room.at_mm}
            testId="room-at"
            onApply={(at_mm) => change({ at_mm })}
          />
          {room.shape !== 'sphere' && (
            <Triple
              label={words.axis}
              hint={words.axisHint}
              value={room.axis}
              testId="room-axis"
              onApply={(axis) => change({ axis })}
            />
          )}
          {room.shape !== 'cone' && (
            <MeasureField
              label={words.radius}
              value={room.radius_mm}
              kind="length"
              unit={unit}
              testId="room-radius"
              onApply={(v) => change({ radius_mm: v ?? room.radius_mm })}
            />
          )}
          {room.shape !== 'sphere' && (
            <MeasureField
              label={room.shape === 'sector' ? words.thickness : words.length}
              value={room.length_mm}
              kind="length"
              unit={unit}
              testId="room-length"
              onApply={(v) => change({ length_mm: v ?? room.length_mm })}
            />
          )}
          {room.shape === 'cone' && (
            <MeasureField
              label={words.halfAngle}
              value={room.halfAngle_deg}
              kind="angle"
              unit={unit}
              testId="room-half"
              onApply={(v) => change({ halfAngle_deg: v ?? room.halfAngle_deg })}
            />
          )}
          {room.shape === 'sector' && (
            <>
              <MeasureField
                label={words.turnFrom}
                value={room.from_deg}
                kind="angle"
                unit={unit}
                hint={words.turnHint}
                testId="room-from"
                onApply={(v) => change({ from_deg: v ?? room.from_deg })}
              />
              <MeasureField
                label={words.turnTo}
                value={room.to_deg}
                kind="angle"
                unit={unit}
                testId="room-to"
                onApply={(v) => change({ to_deg: v ?? room.to_deg })}
              />
            </>
          )}
          <p className="links">
            <button
              type="button"
              className="link"
              data-testid="remove-room"
              onClick={() => {
                set(all.filter((_, k) => k !== open))
                setOpen(null)
              }}
            >
              {words.removeRoom}
            </button>
          </p>
        </>
      )}
    </section>
  )
}

function roomText(room: RoomCheck | undefined, unit: ShownUnit): string {
  if (!room) return ''
  const [first] = room.against
  if (!first) return words.free
  return first.depth_mm > 0.5
    ? words.reaches(first.what, lengthText(first.depth_mm, unit, undefined, 'up'))
    : words.clear(first.what, lengthText(Math.max(0, -first.depth_mm), unit, undefined, 'down'))
}

/** Three numbers with commas. */
function Triple(props: {
  label: string
  hint: string
  value: readonly [number, number, number]
  testId: string
  onApply: (value: readonly [number, number, number]) => string | null
}) {
  const [fault, setFault] = useState('')
  return (
    <TextField
      label={props.label}
      value={props.value.join(', ')}
      hint={fault || props.hint}
      most={80}
      testId={props.testId}
      onApply={(text) => {
        const v = text.split(/[,;]\s*/).map((w) => (w.trim() === '' ? Number.NaN : Number(w)))
        const good = v.length === 3 && v.every(Number.isFinite)
        setFault(good ? (props.onApply([v[0]!, v[1]!, v[2]!]) ?? '') : words.notThree)
      }}
    />
  )
}
