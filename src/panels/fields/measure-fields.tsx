/** Rows of number fields: the numbers of one object of settings, or the three of a place or a direction. */
import type { ShownUnit } from '../../state/format'
import { MeasureField, type MeasureProps } from './measure-field'

type NumberKey<T> = { [K in keyof T]-?: T[K] extends number ? K : never }[keyof T] & string

/** A key, what its field is called, and its kind where it is not a length. */
export type FieldRow<T> = readonly [key: NumberKey<T>, label: string, kind?: MeasureProps['kind'], hint?: string]

interface FieldsProps<T> {
  readonly of: T
  readonly rows: readonly FieldRow<T>[]
  readonly unit: ShownUnit
  /** Each field's is this, a hyphen and its key. */
  readonly testId: string
  readonly onChange: (change: Partial<T>) => string | null
}

export function MeasureFields<T extends object>({ of, rows, unit, testId, onChange }: FieldsProps<T>) {
  return rows.map(([key, label, kind = 'length', hint]) => (
    <MeasureField
      key={key}
      label={label}
      value={of[key] as number}
      kind={kind}
      unit={unit}
      small
      {...(hint !== undefined && { hint })}
      testId={`${testId}-${key}`}
      onApply={(v) => (v === null ? null : onChange({ [key]: v } as Partial<T>))}
    />
  ))
}

export type Triple = readonly [number, number, number]

interface AxisFieldsProps {
  readonly value: Triple
  readonly label: (axis: 'x' | 'y' | 'z') => string
  readonly kind: MeasureProps['kind']
  readonly unit: ShownUnit
  readonly testId: string
  readonly onChange: (value: Triple) => string | null
}

export function AxisFields({ value, label, kind, unit, testId, onChange }: AxisFieldsProps) {
  return (['x', 'y', 'z'] as const).map((axis, k) => (
    <MeasureField
      key={axis}
      label={label(axis)}
      value={value[k]!}
      kind={kind}
      unit={unit}
      small
      testId={`${testId}-${axis}`}
      onApply={(v) => {
        if (v === null) return null
        const [x, y, z] = value.map((old, i) => (i === k ? v : old))
        return onChange([x!, y!, z!])
      }}
    />
  ))
}
