/** Figures of a step: a name and its value in a line each. */
export const Rows = (props: {
  rows: readonly (readonly [string, string])[]
  testId?: string
  /** Beside `rows`. */
  className?: string
}) => (
  <dl className={props.className ? `rows ${props.className}` : 'rows'} data-testid={props.testId}>
    {props.rows.map(([name, value]) => (
      <div key={name}>
        <dt>{name}</dt>
        <dd>{value}</dd>
      </div>
    ))}
  </dl>
)
