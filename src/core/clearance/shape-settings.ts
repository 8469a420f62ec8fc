import type { ShapeSettings } from './shape-types'

/** What a job that says nothing about them gets: nothing out of the way. */
export const SHAPE_DEFAULTS: ShapeSettings = {
  outline: { from: 'silhouette' },
}
