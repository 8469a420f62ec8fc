/** What is known of the vessel and of who steers her: heights of lights are held against it, the owner looks from there. */
import { useStore } from 'zustand'
import { bodySizes } from '../../core/fitting/body-sizes'
import { HELMSMEN } from '../../core/fitting/settings'
import { aboardRows, sizesText } from '../../state/aboard-figures'
import { setPeople, setVessel, tryEdit } from '../../state/edit'
import { lengthText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { aboardWords as words } from '../words'

const MM_PER_M = 1000

export function Aboard({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const { people, vessel } = useStore(stores.jobs, (s) => s.history.job)
  const job = useStore(stores.jobs, (s) => s.history.job)
  const steps = useStore(stores.results, (s) => s.steps)
  const asked = useStore(stores.session, (s) => s.asked?.for === 'helm')
  const rows = aboardRows(steps, job, unit)
  const common = { kind: 'length', unit, small: true } as const
  const helm = (k: 0 | 1, v: number | null) => {
    const [x, y] = people.helm_mm ?? [0, 0]
    return tryEdit(stores.jobs, setPeople({ helm_mm: v === null ? null : k === 0 ? [v, y] : [x, v] }))
  }
  return (
    <details className="slip-part">
      <summary>{words.title}</summary>
      <MeasureField
        {...common}
        label={words.length}
        value={vessel.length_m === null ? null : vessel.length_m * MM_PER_M}
        whenNull={words.unknown}
        hint={words.lengthHint}
        testId="vessel-length"
        onApply={(v) => tryEdit(stores.jobs, setVessel({ length_m: v === null ? null : v / MM_PER_M }))}
      />
      <MeasureField
        {...common}
        label={words.gunwale}
        value={vessel.gunwale_mm}
        whenNull={words.unknown}
        hint={words.height}
        testId="vessel-gunwale"
        onApply={(v) => tryEdit(stores.jobs, setVessel({ gunwale_mm: v }))}
      />
      <MeasureField
        label={words.trim}
        value={vessel.trim_deg}
        whenNull={words.level}
        kind="angle"
        unit={unit}
        small
        hint={words.trimHint}
        testId="vessel-trim"
        onApply={(trim_deg) => tryEdit(stores.jobs, setVessel({ trim_deg }))}
      />
      <MeasureField
        label={words.heel}
        value={vessel.heel_deg}
        whenNull={words.level}
        kind="angle"
        unit={unit}
        small
        hint={words.heelHint}
        testId="vessel-heel"
        onApply={(heel_deg) => tryEdit(stores.jobs, setVessel({ heel_deg }))}
      />
      <MeasureField
        {...common}
        label={words.deck}
        value={people.deck_mm}
        whenNull={words.unknown}
        hint={words.height}
        testId="deck-height"
        onApply={(v) => tryEdit(stores.jobs, setPeople({ deck_mm: v }))}
      />
      <MeasureField
        {...common}
        label={words.helmX}
        value={people.helm_mm?.[0] ?? null}
        whenNull={words.unknown}
        hint={words.helmHint}
        testId="helm-x"
        onApply={(v) => helm(0, v)}
      />
      <MeasureField
        {...common}
        label={words.helmY}
        value={people.helm_mm?.[1] ?? null}
        whenNull={words.unknown}
        testId="helm-y"
        onApply={(v) => helm(1, v)}
      />
      <p className="links">
        {asked ? (
          <>
            <span className="field-hint" aria-live="polite">
              {words.pointHint}
            </span>
            <button type="button" className="link" onClick={() => stores.session.setState({ asked: null })}>
              {words.pointNot}
            </button>
          </>
        ) : (
          <button
            type="button"
            className="link"
            data-testid="helm-point"
            onClick={() => stores.session.setState({ asked: { for: 'helm' } })}
          >
            {words.point}
          </button>
        )}
        <button
          type="button"
          className="link"
          data-testid="look-helm"
          onClick={() => stores.session.setState((s) => ({ view: 'helm', viewAsked: s.viewAsked + 1 }))}
        >
          {words.look}
        </button>
      </p>
      <ChoiceField
        label={words.helmsman}
        value={people.helmsman}
        choices={HELMSMEN.map((who) => [who, words.helmsmen[who]] as const)}
        hint={words.helmsmanHint}
        testId="helmsman"
        onApply={(helmsman) => tryEdit(stores.jobs, setPeople({ helmsman }))}
      />
      <MeasureField
        {...common}
        label={words.eye}
        value={people.eye_mm}
        whenNull={lengthText(bodySizes(people.helmsman).eye_mm, unit).replace(/ (mm|in)$/, '')}
        hint={words.eyeHint}
        testId="eye-height"
        onApply={(v) => tryEdit(stores.jobs, setPeople({ eye_mm: v }))}
      />
      <MeasureField
        label={words.mass}
        value={vessel.mass_kg}
        whenNull={words.unknown}
        kind="mass"
        unit={unit}
        small
        hint={words.massHint}
        testId="vessel-mass"
        onApply={(mass_kg) => tryEdit(stores.jobs, setVessel({ mass_kg }))}
      />
      <MeasureField
        {...common}
        label={words.centre}
        value={vessel.kg_m === null ? null : vessel.kg_m * MM_PER_M}
        whenNull={words.unknown}
        testId="vessel-kg"
        onApply={(v) => tryEdit(stores.jobs, setVessel({ kg_m: v === null ? null : v / MM_PER_M }))}
      />
      <MeasureField
        {...common}
        label={words.metacentre}
        value={vessel.gm_m === null ? null : vessel.gm_m * MM_PER_M}
        whenNull={words.unknown}
        testId="vessel-gm"
        onApply={(v) => tryEdit(stores.jobs, setVessel({ gm_m: v === null ? null : v / MM_PER_M }))}
      />
      <MeasureField
        {...common}
        label={words.keel}
        value={vessel.keel_mm}
        whenNull={words.unknown}
        hint={words.height}
        testId="vessel-keel"
        onApply={(v) => tryEdit(stores.jobs, setVessel({ keel_mm: v }))}
      />
      {rows.length > 0 && <Rows testId="aboard" rows={rows} />}
      {rows.length > 0 && <p className="field-hint">{sizesText(unit)}</p>}
      {rows.length > 0 && <p className="caution">{words.caution}</p>}
    </details>
  )
}
