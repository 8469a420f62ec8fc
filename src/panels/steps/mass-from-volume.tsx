/** Offers the weight that the volume of a part has in a chosen stuff, beside the weight that is typed. */
import { useState } from 'react'
import { useStore } from 'zustand'
import { DENSITIES_KG_M3, type Stuff, solidMass_kg } from '../../core/fitting/part-volume'
import type { FittingEntry } from '../../core/job'
import { changeFitting, tryEdit } from '../../state/edit'
import { massText, type ShownUnit, trimmed } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { massWords as words } from '../words'

const STUFFS = Object.keys(DENSITIES_KG_M3) as readonly Stuff[]
/** Lightest foam to heaviest metal that a fitting is made of, kg/m3. */
const BELIEVED = [10, 23_000] as const

export function MassFromVolume(props: { fitting: FittingEntry; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { fitting, unit, stores } = props
  const made = useStore(stores.results, (s) => s.steps.fitting.result)
  const [stuff, setStuff] = useState<Stuff | 'other'>('aluminium')
  const [typed, setTyped] = useState<number | null>(null)
  const body = made?.bodies[made.placed.findIndex((p) => p.id === fitting.id)]
  if (!body) return null
  const { volume } = body
  const density = stuff === 'other' ? typed : DENSITIES_KG_M3[stuff]
  // To the gram: what is offered is what is taken.
  const mass_kg =
    typeof volume === 'number' && density !== null ? Math.round(solidMass_kg(volume, density) * 1000) / 1000 : null
  return (
    <details className="slip-part">
      <summary>{words.title}</summary>
      {typeof volume !== 'number' ? (
        <p className="field-hint" data-testid="no-volume">
          {words.none[volume]}
        </p>
      ) : (
        <>
          <ChoiceField
            label={words.stuff}
            value={stuff}
            choices={[...STUFFS.map((s) => [s, words.stuffs[s]] as const), ['other', words.other] as const]}
            hint={words.source}
            testId="mass-stuff"
            onApply={setStuff}
          />
          {stuff === 'other' && (
            <TextField
              label={words.density}
              value={typed === null ? '' : String(typed)}
              most={10}
              testId="mass-density"
              onApply={(text) => {
                const value = Number(text.replace(',', '.'))
                setTyped(value >= BELIEVED[0] && value <= BELIEVED[1] ? value : null)
              }}
            />
          )}
          <p className="field-hint" data-testid="mass-from-volume">
            {mass_kg === null || density === null
              ? words.noDensity
              : words.comes(trimmed(volume / 1e6, 3), trimmed(density, 0), massText(mass_kg, unit))}
          </p>
          <p className="links">
            <button
              type="button"
              className="link"
              data-testid="take-mass"
              disabled={mass_kg === null}
              onClick={() => tryEdit(stores.jobs, changeFitting(fitting.id, { mass_kg }))}
            >
              {words.take}
            </button>
          </p>
        </>
      )}
    </details>
  )
}
