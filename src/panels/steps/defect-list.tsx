/** Every defect of the scan that has a place, worst first of its kind; each flies there. */
import type { Point } from '../../core/geometry/axes'
import type { ScanResult } from '../../core/scan/types'
import { areaText, countText, lengthText, type ShownUnit } from '../../state/format'
import { flyToScan } from '../../state/session-moves'
import type { PanelProps } from '../actions'
import { defectWords as words } from '../words'

/** Holes of a large scan are counted in hundreds: the longest are looked at. */
const MOST_HOLES = 40

interface Defect {
  readonly said: string
  readonly at: Point<'scan'>
}

function defectsOf({ health, places }: ScanResult, unit: ShownUnit): Defect[] {
  return [
    ...places.turned.map((at, i) => ({ said: words.turned(i + 1), at })),
    ...places.crossing.map((at, i) => ({ said: words.crossing(i + 1), at })),
    ...health.holes
      .slice(0, MOST_HOLES)
      .map((hole, i) => ({ said: words.hole(i + 1, lengthText(hole.rim_mm, unit)), at: hole.at })),
    ...places.strays.map((piece, i) => ({
      said: words.stray(i + 1, areaText(piece.area_mm2, unit), countText(piece.facets)),
      at: piece.at,
    })),
  ]
}

export function DefectList({
  made,
  unit,
  stores,
}: {
  made: ScanResult
  unit: ShownUnit
  stores: PanelProps['stores']
}) {
  const defects = defectsOf(made, unit)
  if (defects.length === 0) return null
  const more = made.health.holeCount - Math.min(made.health.holes.length, MOST_HOLES)
  return (
    <details className="slip-more">
      <summary data-testid="defects-summary">{words.title(defects.length)}</summary>
      <p className="field-hint">{words.hint}</p>
      <ol className="rows" data-testid="defects">
        {defects.map(({ said, at }) => (
          <li key={said}>
            <button type="button" className="link" onClick={() => flyToScan(stores, at)}>
              {said}
            </button>
          </li>
        ))}
        {more > 0 && <li className="quiet">{words.more(more)}</li>}
      </ol>
    </details>
  )
}
