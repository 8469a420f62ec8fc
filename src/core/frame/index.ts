export type { FrameRequest, FrameResult, Plate, Tube } from './types'
