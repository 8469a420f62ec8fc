/** The drawing views: where one stands for each. */
import type { ViewName } from '../../state/session-store'
import type { Eye } from './eye'

export const VIEW_ANGLES: Readonly<Record<ViewName, Pick<Eye, 'azimuth_deg' | 'elevation_deg'>>> = {
  'starboard-forward': { azimuth_deg: -63, elevation_deg: 27 },
  'starboard-aft': { azimuth_deg: -119, elevation_deg: 29 },
  // The bow to the right, as a plan is drawn.
  plan: { azimuth_deg: -90, elevation_deg: 90 },
  profile: { azimuth_deg: -90, elevation_deg: 0 },
  body: { azimuth_deg: 0, elevation_deg: 0 },
  // From where one steers: from aft and below, under the top.
  helm: { azimuth_deg: 168, elevation_deg: -22 },
}

export const VIEW_ORDER = Object.keys(VIEW_ANGLES) as readonly ViewName[]
