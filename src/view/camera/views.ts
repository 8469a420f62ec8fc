/** The drawing views: where one stands for each. */
import type { ViewName } from '../../state/session-store'
import type { Eye } from './eye'

/** All but what the one at the helm sees: that has a place of its own, and near things larger. */
export type DrawingView = Exclude<ViewName, 'helm'>

export const VIEW_ANGLES: Readonly<Record<DrawingView, Pick<Eye, 'azimuth_deg' | 'elevation_deg'>>> = {
  'starboard-forward': { azimuth_deg: -63, elevation_deg: 27 },
  'starboard-aft': { azimuth_deg: -119, elevation_deg: 29 },
  // The bow to the right, as a plan is drawn.
  plan: { azimuth_deg: -90, elevation_deg: 90 },
  profile: { azimuth_deg: -90, elevation_deg: 0 },
  body: { azimuth_deg: 0, elevation_deg: 0 },
}

export const DRAWING_VIEWS = Object.keys(VIEW_ANGLES) as readonly DrawingView[]
export const VIEW_ORDER: readonly ViewName[] = [...DRAWING_VIEWS, 'helm']
