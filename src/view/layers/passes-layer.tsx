/** The way of the cutter's tip over the tool of the shell that is looked at, while the tooling slip is open. */
import { useEffect, useMemo } from 'react'
import { BufferAttribute, BufferGeometry } from 'three'
import type { ToolPlan } from '../../core/tooling/types'
import { passesShown } from '../geometry/passes-shown'
import type { Theme } from '../theme'
import { useRedraw } from './canvas-hooks'

export function PassesLayer({ tool, theme }: { tool: ToolPlan | null; theme: Theme }) {
  const geometry = useMemo(() => {
    if (!tool) return null
    const made = new BufferGeometry()
    made.setAttribute('position', new BufferAttribute(passSegments(tool), 3))
    return made
  }, [tool])
  useEffect(() => () => geometry?.dispose(), [geometry])
  useRedraw(geometry)
  if (!geometry) return null
  return (
    <lineSegments geometry={geometry} renderOrder={3}>
      <lineBasicMaterial color={theme.blue} transparent opacity={0.4} depthTest={false} depthWrite={false} />
    </lineSegments>
  )
}

/** Segments in job axes; of many passes every so many, as `passesShown` says. */
function passSegments({ raster, contour, matrix }: ToolPlan): Float32Array {
  // Tool axes turn and scale by the diagonal alone.
  const back = [matrix[0]!, matrix[5]!, matrix[10]!] as const
  const every = passesShown(raster)
  const out: number[] = []
  for (const [passes, step] of [
    [raster, every],
    [contour, 1],
  ] as const)
    for (let k = 0; k + 1 < passes.start.length; k += step) {
      let before: readonly [number, number, number] | null = null
      for (let i = passes.start[k]!; i < passes.start[k + 1]!; i++) {
        const { points: p } = passes
        const at = [p[3 * i]! / back[0], p[3 * i + 1]! / back[1], p[3 * i + 2]! / back[2]] as const
        if (before) out.push(...before, ...at)
        before = at
      }
    }
  return Float32Array.from(out)
}
