/**
 * A number that is read and typed in people's units. What is typed stays a draft until Enter (or leaving the field); then it
 * is one edit. Escape takes the draft back.
 */
import { useId, useRef, useState } from 'react'
import {
  angleText,
  type Figure,
  massFigure,
  parseAngle,
  parseLength,
  parseMass,
  parsePlain,
  type ShownUnit,
  settingFigure,
  trimmed,
} from '../../state/format'

export interface MeasureProps {
  readonly label: string
  readonly value: number | null
  /** What the field says when `value` is null. */
  readonly whenNull?: string
  readonly kind: 'length' | 'angle' | 'mass' | 'plain'
  readonly unit: ShownUnit
  readonly hint?: string
  /** Shown as a link when the value differs from it. */
  readonly standard?: number | null
  readonly small?: boolean
  readonly testId: string
  /** Hears of every value as it is typed, and null when nothing is being typed any more. */
  readonly onTry?: (value: number | null) => void
  /** @returns null when the value was taken, else what is wrong with it */
  readonly onApply: (value: number | null) => string | null
}

const READ = {
  length: parseLength,
  angle: (text: string) => parseAngle(text),
  mass: parseMass,
  plain: (text: string) => parsePlain(text),
}

const NOT_READ = {
  length: 'Not a length: 12, 38mm, 1 1/2in and 3*12 are.',
  angle: 'Not an angle: 3 and 1.5° are.',
  mass: 'Not a weight: 2.5, 350g and 4lb are.',
  plain: 'Not a number.',
}

function figureOf(kind: MeasureProps['kind'], value: number, unit: ShownUnit): Figure {
  if (kind === 'length') return settingFigure(value, unit)
  if (kind === 'angle') return { value: trimmed(value, 2), unit: '°' }
  if (kind === 'mass') return unit === 'in' ? massFigure(value, unit) : { value: trimmed(value, 3), unit: 'kg' }
  return { value: trimmed(value, 4), unit: '' }
}

export function MeasureField(props: MeasureProps) {
  const { label, value, kind, unit, onApply } = props
  const id = useId()
  const field = useRef<HTMLInputElement>(null)
  const [draft, setDraft] = useState<string | null>(null)
  const [fault, setFault] = useState<string | null>(null)
  const shown = value === null ? null : figureOf(kind, value, unit)
  const text = draft ?? shown?.value ?? ''

  const apply = (typed: string) => {
    if (typed === (shown?.value ?? '')) return settle(null)
    if (typed.trim() === '' && props.whenNull !== undefined) return settle(onApply(null))
    const read = READ[kind](typed, unit)
    settle(read === null ? NOT_READ[kind] : onApply(read))
  }
  const settle = (wrong: string | null) => {
    setFault(wrong)
    if (wrong === null) setDraft(null)
    props.onTry?.(null)
  }
  const type = (typed: string) => {
    setDraft(typed)
    props.onTry?.(READ[kind](typed, unit))
  }
  const standard = props.standard
  const differs = standard !== undefined && standard !== value

  return (
    <div className="field" data-small={props.small || undefined}>
      <label htmlFor={id}>{label}</label>
      <span className="field-value">
        <input
          id={id}
          ref={field}
          data-testid={props.testId}
          inputMode="text"
          autoComplete="off"
          spellCheck={false}
          placeholder={props.whenNull}
          value={text}
          aria-invalid={fault !== null || undefined}
          aria-describedby={`${id}-hint`}
          onFocus={(event) => event.target.select()}
          onChange={(event) => type(event.target.value)}
          onBlur={() => draft !== null && apply(draft)}
          onKeyDown={(event) => {
            if (event.key === 'Enter') {
              if (draft !== null) apply(draft)
              event.currentTarget.select()
            } else if (event.key === 'Escape' && draft !== null) {
              event.stopPropagation()
              settle(null)
            }
          }}
        />
        <span className="field-unit">{shown?.unit ?? (kind === 'length' ? unit : '')}</span>
      </span>
      <span className="field-hint" id={`${id}-hint`}>
        {fault !== null ? (
          <span className="fault">{fault}</span>
        ) : (
          <>
            {differs && (
              <button
                type="button"
                className="link"
                data-testid={`${props.testId}-default`}
                onClick={() => settle(onApply(standard))}
              >
                default {standardText(props, standard)}
              </button>
            )}
            {standard !== undefined && !differs && `default ${standardText(props, standard)}`}
            {props.hint && (standard !== undefined ? ` · ${props.hint}` : props.hint)}
          </>
        )}
      </span>
    </div>
  )
}

function standardText({ kind, unit, whenNull }: MeasureProps, standard: number | null): string {
  if (standard === null) return whenNull ?? 'none'
  if (kind === 'angle') return angleText(standard, standard % 1 === 0 ? 0 : 1)
  return figureOf(kind, standard, unit).value
}
