import type { Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'

/** A height for every node of a grid in plan, job axes. Node (i, j) stands at x0 + i·h, y0 + j·h; its height is `height[j · nx + i]`. */
export interface Obstacle {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  /** Spacing, mm. */
  readonly h: number
  /** z below which nothing may be, mm; −Infinity where nothing is in the way. One per node. */
  readonly height: Float64Array
}

export interface ObstacleOptions {
  readonly nx: number
  readonly ny: number
  readonly x0: number
  readonly y0: number
  readonly h: number
  /** Gap to be kept, mm: one for all, or one per facet. */
  readonly gap: number | Float32Array
  /** Added to every gap, mm (greater than 0: a gap of 0 alone would leave nothing to stay clear of). */
  readonly guard_mm: number
  /** Take the frame together with its mirror image in y = 0; then the rows must lie symmetric about y = 0: y0 = −(ny − 1)·h / 2. */
  readonly symmetric: boolean
}

export type BuildObstacle = (frame: Mesh<'job'>, options: ObstacleOptions) => Steps<Obstacle>
