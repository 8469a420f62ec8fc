/** Figures of a step: a name and its value in a line each. */
export const Rows = ({ rows, testId }: { rows: readonly (readonly [string, string])[]; testId: string }) => (
  <dl className="rows" data-testid={testId}>
    {rows.map(([name, value]) => (
      <div key={name}>
        <dt>{name}</dt>
        <dd>{value}</dd>
      </div>
    ))}
  </dl>
)
