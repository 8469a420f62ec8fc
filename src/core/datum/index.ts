export { datumStep } from './datum'
export type { DatumRequest, DatumResult, DatumSetting, MirrorError, TubePair } from './types'
