/** Section of a mesh for the sheet and the glass, at once: what is drawn is small enough. */
import { drain } from '../../core/geometry/kernel'
import type { Mesh } from '../../core/geometry/mesh'
import { planeSection, type SectionChain } from '../../core/geometry/plane-section'

export interface SectionPlane {
  readonly across: 'x' | 'y'
  readonly at_mm: number
}

/** u, v pairs: u is x (across y) or y (across x), v is z. mm */
export type Chain = SectionChain

export const cutMesh = (mesh: Mesh, plane: SectionPlane): Chain[] => drain(planeSection(mesh, plane))

/** SVG path of chains, through a map from the plane to the screen. */
export function chainPath(chains: readonly Chain[], at: (u: number, v: number) => readonly [number, number]): string {
  const parts: string[] = []
  for (const { points, closed } of chains) {
    for (let i = 0; i < points.length; i += 2) {
      const [x, y] = at(points[i]!, points[i + 1]!)
      parts.push(`${i === 0 ? 'M' : 'L'}${x.toFixed(2)} ${y.toFixed(2)}`)
    }
    if (closed) parts.push('Z')
  }
  return parts.join('')
}
