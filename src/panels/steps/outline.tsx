/** Where the top ends in plan: by the frame, or by a drawing that is moved point by point. */
import { useStore } from 'zustand'
import { setOutline, tryEdit } from '../../state/edit'
import {
  type DrawnOutline,
  mayLose,
  sideCount,
  startOutline,
  takeOutline,
  withMoved,
  withoutPoint,
  withPoint,
  withRadius,
} from '../../state/outline-edit'
import type { PanelProps } from '../actions'
import { ChoiceField, FileLink } from '../fields/choice-field'
import { MeasureField } from '../fields/measure-field'
import { listWords, outlineWords as words } from '../words'

export function OutlineFields({ stores, actions }: PanelProps) {
  const outline = useStore(stores.jobs, (s) => s.history.job.clearance.outline)
  const found = useStore(stores.results, (s) => s.steps.clearance.result !== null)
  const drawn = outline.from === 'polygon'
  return (
    <section className="slip-part" aria-label={words.label}>
      <ChoiceField
        label={words.label}
        value={outline.from}
        choices={drawn ? [POLYGON, SILHOUETTE] : [SILHOUETTE]}
        hint={drawn ? words.drawn(outline.points.length, outline.mirrored) : words.none}
        testId="outline"
        onApply={(from) => from === 'silhouette' && tryEdit(stores.jobs, setOutline({ from }, words.silhouette))}
      />
      {drawn ? (
        <PointFields stores={stores} outline={outline} />
      ) : (
        <button
          type="button"
          className="link"
          disabled={!found}
          title={found ? undefined : words.waits}
          data-testid="draw-outline"
          onClick={() => startOutline(stores, words.started)}
        >
          {words.start}
        </button>
      )}
      <FileLink accept=".dxf,.svg" testId="choose-outline" onFiles={(files) => actions.takeFiles(files, 'outline')}>
        {words.take}
      </FileLink>
      <p className="field-hint">{words.where}</p>
    </section>
  )
}

const SILHOUETTE = ['silhouette', words.silhouette] as const
const POLYGON = ['polygon', words.polygon] as const

/** One point at a time: a drawing out of a file may have hundreds. */
function PointFields({ stores, outline }: Pick<PanelProps, 'stores'> & { outline: DrawnOutline }) {
  const asked = useStore(stores.session, (s) => s.outlinePoint)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const count = outline.points.length
  const number = Math.min(asked, count - 1)
  const point = outline.points[number]!
  const go = (to: number) => stores.session.setState({ outlinePoint: (to + count) % count })
  const take = (next: DrawnOutline, title = words.changed(number + 1)) => takeOutline(stores, next, title)
  const attempt = (next: DrawnOutline | null) => stores.session.setState({ trial: next && { outline: next } })
  const moved = (axis: 0 | 1, to: number) =>
    withMoved(outline, number, axis === 0 ? [to, point.at_mm[1]] : [point.at_mm[0], to])
  return (
    <section aria-label={words.points} data-testid="outline-numbers">
      <p className="field-hint" aria-live="polite">
        {words.point(number + 1, count)} ·{' '}
        <button type="button" className="link" onClick={() => go(number - 1)}>
          {words.before}
        </button>{' '}
        ·{' '}
        <button type="button" className="link" onClick={() => go(number + 1)}>
          {words.after}
        </button>
      </p>
      {([0, 1] as const).map((axis) => (
        <MeasureField
          key={axis}
          label={axis === 0 ? words.x : words.y}
          value={point.at_mm[axis]}
          kind="length"
          unit={unit}
          small
          testId={`outline-at-${axis}`}
          onTry={(to) => attempt(to === null ? null : moved(axis, to))}
          onApply={(to) => take(moved(axis, to ?? point.at_mm[axis]))}
        />
      ))}
      <MeasureField
        label={words.radius}
        value={point.radius_mm}
        kind="length"
        unit={unit}
        small
        hint={words.radiusHint}
        testId="outline-radius"
        onTry={(to) => attempt(to === null ? null : withRadius(outline, number, to))}
        onApply={(to) => take(withRadius(outline, number, to ?? 0))}
      />
      <p className="field-hint">
        <button
          type="button"
          className="link"
          data-testid="add-outline-point"
          onClick={() => {
            const side = Math.min(number, sideCount(outline) - 1)
            if (take(withPoint(outline, side), words.added) === null) go(side + 1)
          }}
        >
          {words.add}
        </button>{' '}
        ·{' '}
        <button
          type="button"
          className="link"
          disabled={!mayLose(outline)}
          data-testid="drop-outline-point"
          onClick={() => take(withoutPoint(outline, number), words.gone(number + 1))}
        >
          {listWords.away}
        </button>
      </p>
      <p className="field-hint">{words.hand}</p>
    </section>
  )
}
