/** A list of named things of one kind on a slip: each with its name, its fields and a way out, and one way to add another. */
import type { ReactNode } from 'react'
import { TextField } from '../fields/choice-field'
import { listWords as words } from '../words'

export function PartList<T extends { readonly name: string }>(props: {
  readonly parts: readonly T[]
  readonly summary: string
  /** Begins the ids that tests find the fields by. */
  readonly id: string
  readonly above?: ReactNode
  readonly hint?: string
  readonly add: { readonly words: string; make(): T }
  readonly fields: (part: T, number: number, change: (by: Partial<T>) => string | null) => ReactNode
  /** @returns null when the list was taken, else what is wrong with it */
  readonly onApply: (parts: readonly T[], title: string) => string | null
}) {
  const { parts, id, add, onApply } = props
  return (
    <details className="slip-more" data-testid={`${id}-list`}>
      <summary>{props.summary}</summary>
      {props.above}
      {parts.map((part, number) => {
        const change = (by: Partial<T>) =>
          onApply(
            parts.map((entry) => (entry === part ? { ...entry, ...by } : entry)),
            words.changed(part.name),
          )
        return (
          <section className="slip-part" key={part.name} aria-label={part.name}>
            <TextField
              label={words.name}
              value={part.name}
              most={60}
              testId={`${id}-name-${number}`}
              onApply={(name) => change({ ...part, name })}
            />
            {props.fields(part, number, change)}
            <button
              type="button"
              className="link"
              aria-label={`${words.away}: ${part.name}`}
              onClick={() =>
                onApply(
                  parts.filter((entry) => entry !== part),
                  words.gone(part.name),
                )
              }
            >
              {words.away}
            </button>
          </section>
        )
      })}
      {props.hint && <p className="field-hint">{props.hint}</p>}
      <button
        type="button"
        className="link"
        data-testid={`add-${id}`}
        onClick={() => {
          const made = add.make()
          onApply([...parts, made], words.added(made.name))
        }}
      >
        {add.words}
      </button>
    </details>
  )
}

/** A name that none of the others has, counted on. */
export function freshName(parts: readonly { readonly name: string }[], named: (count: number) => string): string {
  const taken = new Set(parts.map(({ name }) => name))
  let count = parts.length + 1
  while (taken.has(named(count))) count++
  return named(count)
}
