import { useId } from 'react'

/** One of a few words, all of them in sight. */
export function ChoiceField<T extends string>(props: {
  label: string
  value: T
  choices: readonly (readonly [T, string])[]
  hint?: string
  testId: string
  onApply: (value: T) => void
}) {
  const id = useId()
  return (
    <fieldset className="field choice" data-testid={props.testId}>
      <legend>{props.label}</legend>
      <span className="choices">
        {props.choices.map(([value, words]) => (
          <label key={value} data-chosen={value === props.value || undefined}>
            <input
              type="radio"
              className="unseen-text"
              name={id}
              checked={value === props.value}
              data-testid={`${props.testId}-${value}`}
              onChange={() => props.onApply(value)}
            />
            {words}
          </label>
        ))}
      </span>
      {props.hint && <span className="field-hint">{props.hint}</span>}
    </fieldset>
  )
}

export function TextField(props: {
  label: string
  value: string
  hint?: string
  most: number
  testId: string
  onApply: (value: string) => void
}) {
  const id = useId()
  return (
    <div className="field text-field">
      <label htmlFor={id}>{props.label}</label>
      <input
        id={id}
        // Another value from outside (undo) begins the field anew.
        key={props.value}
        data-testid={props.testId}
        defaultValue={props.value}
        maxLength={props.most}
        onBlur={(event) => event.target.value !== props.value && props.onApply(event.target.value)}
        onKeyDown={(event) => {
          if (event.key === 'Enter') event.currentTarget.blur()
          if (event.key === 'Escape') event.currentTarget.value = props.value
        }}
      />
      {props.hint && <span className="field-hint">{props.hint}</span>}
    </div>
  )
}

/** A file dialog behind a word. */
export function FileLink(props: {
  children: string
  accept: string
  multiple?: boolean
  testId: string
  boxed?: boolean
  onFiles: (files: readonly File[]) => void
}) {
  return (
    <label className={props.boxed ? 'boxed file-link' : 'link file-link'}>
      {props.children}
      <input
        type="file"
        className="unseen-text"
        accept={props.accept}
        multiple={props.multiple ?? false}
        data-testid={props.testId}
        onChange={(event) => {
          const files = [...(event.target.files ?? [])]
          // The same file may be chosen again after it was mended.
          event.target.value = ''
          if (files.length > 0) props.onFiles(files)
        }}
      />
    </label>
  )
}

export const MESH_FILES = '.stl,.obj,.ply,.glb,.gltf,.3mf,.step,.stp'
export const ALL_FILES = `.mwjob,${MESH_FILES}`

/** The two shells that a thing may be on. */
export const SHELLS = [
  ['topside', 'the topside'],
  ['underside', 'the underside'],
] as const
