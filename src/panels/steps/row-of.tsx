/** Further ones of a fitting along a line, each as far on from the last. */
import { useState } from 'react'
import type { FittingEntry } from '../../core/job'
import { arrayFitting, tryEdit } from '../../state/edit'
import type { ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { MeasureField } from '../fields/measure-field'
import { bodyWords as words } from '../words'

/** More would be a slip of the finger. */
const MOST = 50

export function RowOf(props: { fitting: FittingEntry; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { fitting, unit, stores } = props
  const [count, setCount] = useState(3)
  const [step, setStep] = useState<readonly [number, number]>([200, 0])
  const common = { kind: 'length', unit, small: true } as const
  return (
    <details className="slip-more" data-testid="row-of">
      <summary>{words.row}</summary>
      <MeasureField
        label={words.rowCount}
        value={count}
        kind="plain"
        unit={unit}
        small
        testId="row-count"
        onApply={(v) => {
          setCount(Math.min(MOST, Math.max(1, Math.round(v ?? 1))))
          return null
        }}
      />
      <MeasureField
        {...common}
        label={words.rowStep}
        value={step[0]}
        testId="row-step-x"
        onApply={(v) => {
          setStep([v ?? 0, step[1]])
          return null
        }}
      />
      <MeasureField
        {...common}
        label={words.rowAcross}
        value={step[1]}
        testId="row-step-y"
        onApply={(v) => {
          setStep([step[0], v ?? 0])
          return null
        }}
      />
      <button
        type="button"
        className="link"
        data-testid="row-do"
        disabled={step[0] === 0 && step[1] === 0}
        onClick={() => tryEdit(stores.jobs, arrayFitting(fitting.id, count, step))}
      >
        {words.rowDo}
      </button>
    </details>
  )
}
