import { useState } from 'react'
import { Label, Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components'
import { lengthText, type ShownUnit } from '../../state/format'
import { LeadHandle } from '../batten/lead-weight'
import { fairnessWords as words } from '../words'

/** Ends of the slider, mm; it runs by ratios, since 500 against 1000 is as much as 5 m against 10. */
const LEAST_MM = 250
const MOST_MM = 25_000
const STEPS = 100

const toPlace = (mm: number): number =>
  Math.round((STEPS * Math.log(Math.min(MOST_MM, Math.max(LEAST_MM, mm)) / LEAST_MM)) / Math.log(MOST_MM / LEAST_MM))

/** Two figures that mean something: 2500, not 2483.7. */
function toRadius_mm(place: number): number {
  const mm = LEAST_MM * (MOST_MM / LEAST_MM) ** (place / STEPS)
  const grain = 10 ** Math.floor(Math.log10(mm) - 1)
  return Math.round(mm / grain) * grain
}

/** How fair the crown is drawn: the least hollow radius of the sheet between the tubes. One edit when the lead is let go. */
export function FairnessSlider(props: {
  value_mm: number
  unit: ShownUnit
  onTry: (mm: number | null) => void
  onApply: (mm: number) => void
}) {
  const [dragged, setDragged] = useState<number | null>(null)
  const place = dragged ?? toPlace(props.value_mm)
  const shown_mm = dragged === null ? props.value_mm : toRadius_mm(dragged)
  return (
    <Slider
      className="field fairness"
      value={place}
      minValue={0}
      maxValue={STEPS}
      onChange={(value) => {
        setDragged(value as number)
        props.onTry(toRadius_mm(value as number))
      }}
      onChangeEnd={(value) => {
        setDragged(null)
        if (value !== toPlace(props.value_mm)) props.onApply(toRadius_mm(value as number))
        props.onTry(null)
      }}
    >
      <div className="fairness-head">
        <Label>{words.label}</Label>
        <SliderOutput className="field-hint">{words.radius(lengthText(shown_mm, props.unit))}</SliderOutput>
      </div>
      <SliderTrack className="slider-track">
        <span className="slider-line" aria-hidden="true" />
        <SliderThumb className="slider-thumb" data-testid="setting-fairRadius_mm">
          <LeadHandle />
        </SliderThumb>
      </SliderTrack>
      <div className="fairness-ends" aria-hidden="true">
        <span>{words.close}</span>
        <span>{words.fair}</span>
      </div>
    </Slider>
  )
}
