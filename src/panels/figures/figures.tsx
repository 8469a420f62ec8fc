import type { AnswerFigure } from '../../state/answers'

/** Four figures, two by two, each with the limit it is held against. */
export function Figures({ figures, stale }: { figures: readonly AnswerFigure[]; stale: boolean }) {
  if (figures.length === 0) return null
  return (
    <dl className="figures" data-testid="figures" data-stale={stale || undefined}>
      {figures.map((f) => (
        <div key={f.id} className="figure" data-bad={f.bad || undefined} data-testid={`figure-${f.id}`}>
          <dt>
            {f.label}
            <span className="figure-sub">{f.sub}</span>
          </dt>
          <dd>
            <span className="figure-value">{f.value}</span> <span className="figure-unit">{f.unit}</span>
          </dd>
        </div>
      ))}
    </dl>
  )
}
