/** The ways of the wires over the top. Drawn over the part: they lie on it or in its chases. */
import { useMemo } from 'react'
import type { FittingResult } from '../../core/fitting/types'
import type { Theme } from '../theme'
import { useRedraw } from './canvas-hooks'
import { FatLine, runSegments } from './fat-line'

export function WireLayer({ fitting, theme }: { fitting: FittingResult | null; theme: Theme }) {
  const segments = useMemo(
    () =>
      Float32Array.from(
        (fitting?.wires ?? []).flatMap((w) => [...runSegments(w.points.map((p) => [p[0], p[1], p[2]]))]),
      ),
    [fitting],
  )
  useRedraw(segments)
  if (segments.length === 0) return null
  return (
    <>
      <FatLine segments={segments} colour={theme.gelcoat} px={5} opacity={0.85} order={4} hidden={false} />
      <FatLine segments={segments} colour={theme.lead} px={1.8} opacity={0.99} order={5} hidden={false} />
    </>
  )
}
