export { meanPlane } from './describe-tubes'
export { type FastenerPlace, fastenerPlaces } from './fastener-places'
export { frameStep } from './frame'
export type { FastenerPitch, FrameRequest, FrameResult, Plate, Tube } from './types'
