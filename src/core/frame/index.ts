export { meanPlane } from './describe-tubes'
export { frameStep } from './frame'
export type { FrameRequest, FrameResult, Plate, Tube } from './types'
