/** How much two closed bodies share, by level sections: areas of the sections' intersections, summed over the height. */
import { areaPathsD, FillRule, intersectD, type PathsD } from 'clipper2-ts'
import { adjacency } from '../geometry/adjacency'
import type { Steps } from '../geometry/kernel'
import { bounds, type Mesh, vertexCount } from '../geometry/mesh'
import { planeSection } from '../geometry/plane-section'

export interface SharedVolume {
  readonly volume_mm3: number
  /** How far the sum with half the sections was off: an estimate of what is left open, mm3. */
  readonly doubt_mm3: number
}

/** Sections through the height that both share. */
const LEVELS = 96
/** Digits after the point, mm, that the intersection of two sections keeps. */
const DIGITS = 4

/**
 * Middle sums over the height; bodies with level faces lose at most half a layer there, which `doubt_mm3` shows.
 *
 * @returns null where one of them is open, so that it has no inside
 */
export function* sharedVolume(a: Mesh, b: Mesh): Steps<SharedVolume | null> {
  for (const mesh of [a, b]) {
    const { boundaryEdges } = yield* adjacency(mesh.indices, vertexCount(mesh))
    if (boundaryEdges > 0) return null
  }
  const [boxA, boxB] = [bounds(a), bounds(b)]
  const low = Math.max(boxA.min[2], boxB.min[2])
  const high = Math.min(boxA.max[2], boxB.max[2])
  if (!(high > low)) return { volume_mm3: 0, doubt_mm3: 0 }
  const sums: number[] = []
  for (const levels of [LEVELS / 2, LEVELS]) {
    const step = (high - low) / levels
    let sum = 0
    for (let k = 0; k < levels; k++) {
      const plane = { across: 'z', at_mm: low + (k + 0.5) * step } as const
      const first = pathsOf(yield* planeSection(a, plane))
      if (first.length === 0) continue
      const second = pathsOf(yield* planeSection(b, plane))
      if (second.length > 0) sum += step * Math.abs(areaPathsD(intersectD(first, second, FillRule.EvenOdd, DIGITS)))
      yield 0.5 * (levels === LEVELS ? 1 : 0) + (0.5 * k) / levels
    }
    sums.push(sum)
  }
  return { volume_mm3: sums[1]!, doubt_mm3: Math.abs(sums[1]! - sums[0]!) }
}

function pathsOf(chains: readonly { readonly points: Float64Array; readonly closed: boolean }[]): PathsD {
  return chains
    .filter((chain) => chain.closed && chain.points.length >= 6)
    .map(({ points }) =>
      Array.from({ length: points.length / 2 }, (_, i) => ({ x: points[2 * i]!, y: points[2 * i + 1]! })),
    )
}
