/** The gap between surface and tube, drawn along the tube; the dashed line is what was asked. */
import type { BearingGap } from '../../core/clearance/metal-gaps'
import { gapCurve } from '../../state/gap-curve'
import { shapeWords } from '../words'

const WIDE = 260
const HIGH = 56

export function GapCurve({ tube }: { tube: BearingGap }) {
  const { path, asked, top_mm } = gapCurve(tube, WIDE, HIGH)
  return (
    <svg
      className="gap-curve"
      viewBox={`0 0 ${WIDE} ${HIGH}`}
      role="img"
      aria-label={shapeWords.curve(tube.name)}
      data-testid={`gap-curve-${tube.id}`}
    >
      <line className="gap-asked" x1="0" x2={WIDE} y1={asked} y2={asked} />
      <path d={path} />
      <text x={WIDE} y="9" textAnchor="end">
        {top_mm.toFixed(1)} mm
      </text>
    </svg>
  )
}
