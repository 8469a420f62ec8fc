/** Cropping by a plane or a box: numbers here, lines on the drawing, then one repair. */
import { useMemo, useState } from 'react'
import { useStore } from 'zustand'
import type { Point } from '../../core/geometry/axes'
import { applyCrop, type Crop, type CropSide, chooseSide, cropCount, startCrop, stopCrop } from '../../state/crop'
import { countText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { cropWords as words } from '../words'

export function CropPart({ stores, unit }: { stores: PanelProps['stores']; unit: ShownUnit }) {
  const crop = useStore(stores.session, (s) => s.crop)
  const mesh = useStore(stores.results, (s) => s.steps.datum.result?.mesh ?? s.steps.scan.result?.mesh ?? null)
  const [fault, setFault] = useState<string | null>(null)
  const count = useMemo(() => crop && mesh && cropCount(crop, mesh), [crop, mesh])
  if (!crop)
    return (
      <p className="links">
        {(['side', 'box'] as const).map((kind) => (
          <button
            key={kind}
            type="button"
            className="link"
            data-testid={`crop-${kind}`}
            onClick={() => {
              setFault(null)
              startCrop(stores, kind)
            }}
          >
            {words.start[kind]}
          </button>
        ))}
      </p>
    )
  const set = (next: Crop) => {
    setFault(null)
    stores.session.setState({ crop: next })
    return null
  }
  return (
    <section className="slip-part" data-testid="crop">
      <h3>{words.title[crop.kind]}</h3>
      {crop.kind === 'side' ? (
        <>
          <ChoiceField
            label={words.goes}
            value={crop.side}
            choices={Object.entries(words.sides) as [CropSide, string][]}
            testId="crop-side-of"
            onApply={(side) => chooseSide(stores, side)}
          />
          <MeasureField
            label={words.at[crop.side]}
            value={crop.at_mm}
            kind="length"
            unit={unit}
            hint={words.clickHint}
            testId="crop-at"
            onApply={(at_mm) => (at_mm === null ? words.number : set({ ...crop, at_mm }))}
          />
        </>
      ) : (
        <BoxFields box={crop} unit={unit} onSet={set} />
      )}
      {count && (
        <p className="field-hint" aria-live="polite" data-testid="crop-count">
          {words.count(countText(count.gone), countText(count.all))}
        </p>
      )}
      {fault && <p className="fault">{fault}</p>}
      <p className="links">
        <button type="button" className="link" data-testid="crop-apply" onClick={() => setFault(applyCrop(stores))}>
          {words.apply}
        </button>
        <button type="button" className="link" data-testid="crop-leave" onClick={() => stopCrop(stores)}>
          {words.leave}
        </button>
      </p>
    </section>
  )
}

type Box = Extract<Crop, { kind: 'box' }>

function BoxFields({ box, unit, onSet }: { box: Box; unit: ShownUnit; onSet: (next: Crop) => null }) {
  return (
    <>
      {(['min', 'max'] as const).map((end) =>
        words.ends[end].map((label, k) => (
          <MeasureField
            key={label}
            label={label}
            value={box[end][k]!}
            kind="length"
            unit={unit}
            small
            testId={`crop-${end}-${k}`}
            onApply={(value) => {
              if (value === null) return words.number
              const next = { ...box, [end]: box[end].map((v, i) => (i === k ? value : v)) as unknown as Point }
              return next.min[k]! < next.max[k]! ? onSet(next) : words.inside
            }}
          />
        )),
      )}
    </>
  )
}
