import { useStore } from 'zustand'
import type { FittingResult } from '../../core/fitting/types'
import type { FittingEntry } from '../../core/job'
import { changeFitting, copyFitting, removeFitting, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, FileLink, MESH_FILES, SHELLS, TextField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { aboardWords, fittingWords as words } from '../words'
import { Aboard } from './aboard'
import { BodyPart } from './body-part'
import { DistancePart } from './distance-part'
import { FasteningPart, RoomPart } from './fastening-part'
import { LightFields } from './light-fields'
import { MassFromVolume } from './mass-from-volume'
import { Remarks } from './remarks'
import { RowOf } from './row-of'
import { ChasePart, SeatFields } from './seat'
import { WirePart } from './wire-part'

export function FittingSlip({ stores, actions }: PanelProps) {
  const fittings = useStore(stores.jobs, (s) => s.history.job.fittings)
  const made = useStore(stores.results, (s) => s.steps.fitting.result)
  const chosen = useStore(stores.session, (s) => s.fitting)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const open = fittings.find((f) => f.id === chosen)
  return (
    <>
      <section className="slip-part">
        <ul className="rows" data-testid="fittings">
          {fittings.map((f) => (
            <li key={f.id}>
              <button
                type="button"
                className="link"
                aria-expanded={f.id === chosen}
                data-testid={`fitting-${f.id}`}
                onClick={() => stores.session.setState({ fitting: f.id === chosen ? null : f.id })}
              >
                {f.name}
              </button>
              <span className="quiet">
                {f.mirror !== false && words.andTwin}
                {distanceWords(made, f.id, unit)}
              </span>
            </li>
          ))}
        </ul>
        {fittings.length === 0 && <p className="field-hint">{words.none}</p>}
        <FileLink
          accept={MESH_FILES}
          multiple
          testId="choose-fitting"
          onFiles={(files) => actions.takeFiles(files, 'fitting')}
        >
          {words.add}
        </FileLink>
      </section>
      {open && <OneFitting key={open.id} fitting={open} unit={unit} stores={stores} />}
      {open && <BodyPart key={`${open.id} body`} fitting={open} unit={unit} stores={stores} />}
      {open && <SeatFields key={`${open.id} seat`} fitting={open} unit={unit} stores={stores} />}
      {open && <FasteningPart key={`${open.id} fasteners`} fitting={open} unit={unit} stores={stores} />}
      {open && <RoomPart key={`${open.id} rooms`} fitting={open} unit={unit} stores={stores} />}
      <DistancePart stores={stores} unit={unit} />
      <ChasePart stores={stores} unit={unit} />
      <WirePart stores={stores} unit={unit} />
      <Aboard stores={stores} unit={unit} />
      <Remarks stores={stores} actions={actions} />
    </>
  )
}

function distanceWords(made: FittingResult | null, id: string, unit: ShownUnit): string {
  const placed = made?.placed.filter((p) => p.id === id) ?? []
  if (placed.length === 0) return ''
  const least = Math.min(...placed.map((p) => p.toFrame.min_mm))
  return words.toFrame(lengthText(least, unit, undefined, 'down'))
}

/** How far forward of the first one a copy is set down, mm; from there it is moved to its place. */
const COPY_BESIDE_MM = 150

function OneFitting({
  fitting,
  unit,
  stores,
}: {
  fitting: FittingEntry
  unit: ShownUnit
  stores: PanelProps['stores']
}) {
  const set = (change: Parameters<typeof changeFitting>[1]) => tryEdit(stores.jobs, changeFitting(fitting.id, change))
  const [x, y] = fitting.at_mm
  return (
    <section className="slip-part" aria-label={fitting.name}>
      <MeasureField
        label={words.forward}
        value={x}
        kind="length"
        unit={unit}
        testId="fitting-x"
        onApply={(v) => set({ at_mm: [v ?? 0, y] })}
      />
      <MeasureField
        label={words.port}
        value={y}
        kind="length"
        unit={unit}
        hint={words.portHint}
        testId="fitting-y"
        onApply={(v) => set({ at_mm: [x, v ?? 0] })}
      />
      <MeasureField
        label={words.turn}
        value={fitting.turn_deg}
        kind="angle"
        unit={unit}
        hint={words.turnHint}
        testId="fitting-turn"
        onApply={(v) => set({ turn_deg: v ?? 0 })}
      />
      <ChoiceField
        label={words.twin}
        value={fitting.mirror === false ? 'none' : fitting.mirror}
        choices={[
          ['none', words.twins.none],
          ['geometry', words.twins.geometry],
          ['position', words.twins.position],
        ]}
        testId="fitting-mirror"
        onApply={(v) => set({ mirror: v === 'none' ? false : v })}
      />
      <ChoiceField
        label={words.on}
        value={fitting.on}
        choices={SHELLS}
        testId="fitting-on"
        onApply={(on) => set({ on })}
      />
      <ChoiceField
        label={words.stands}
        value={fitting.upright ? 'plumb' : 'square'}
        choices={[
          ['square', words.standings.square],
          ['plumb', words.standings.plumb],
        ]}
        testId="fitting-upright"
        onApply={(v) => set({ upright: v === 'plumb' })}
      />
      <MeasureField
        label={words.weight}
        value={fitting.mass_kg}
        whenNull={words.unknown}
        kind="mass"
        unit={unit}
        hint={fitting.mirror === false ? '' : words.ofOne}
        testId="fitting-mass"
        onApply={(mass_kg) => set({ mass_kg })}
      />
      <MassFromVolume key={fitting.id} fitting={fitting} unit={unit} stores={stores} />
      <LightFields fitting={fitting} unit={unit} onChange={(light) => set({ light })} />
      <ChoiceField
        label={words.unit}
        value={fitting.unit}
        choices={[
          ['auto', words.unitFound],
          ['mm', 'mm'],
          ['cm', 'cm'],
          ['m', 'm'],
          ['in', words.inches],
        ]}
        testId="fitting-unit"
        onApply={(v) => set({ unit: v })}
      />
      <TextField
        label={words.name}
        value={fitting.name}
        most={100}
        testId="fitting-name"
        onApply={(name) => name.trim() && set({ name: name.trim() })}
      />
      <TextField
        label={words.remark}
        value={fitting.comment}
        most={2000}
        testId="fitting-comment"
        onApply={(comment) => set({ comment })}
      />
      <ChoiceField
        label={aboardWords.handle}
        value={fitting.handle ? 'yes' : 'no'}
        choices={[
          ['no', aboardWords.noHandle],
          ['yes', aboardWords.isHandle],
        ]}
        testId="fitting-handle"
        onApply={(v) => set({ handle: v === 'yes' })}
      />
      <ChoiceField
        label={words.place}
        value={fitting.locked ? 'kept' : 'free'}
        choices={[
          ['free', words.places.free],
          ['kept', words.places.kept],
        ]}
        testId="fitting-locked"
        onApply={(v) => set({ locked: v === 'kept' })}
      />
      <RowOf fitting={fitting} unit={unit} stores={stores} />
      <p className="links">
        <button
          type="button"
          className="link"
          data-testid="copy-fitting"
          onClick={() => tryEdit(stores.jobs, copyFitting(fitting.id, [COPY_BESIDE_MM, 0]))}
        >
          {words.another}
        </button>
        <button
          type="button"
          className="link"
          data-testid="remove-fitting"
          onClick={() => {
            tryEdit(stores.jobs, removeFitting(fitting.id))
            stores.session.setState({ fitting: null })
          }}
        >
          {words.remove}
        </button>
      </p>
    </section>
  )
}
