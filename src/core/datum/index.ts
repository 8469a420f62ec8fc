export { datumStep } from './datum'
export type { DatumPicks, DatumRequest, DatumResult, DatumSetting, MirrorError, TubePair } from './types'
