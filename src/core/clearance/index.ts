/** The only door of the clearance step. */
export { certify } from './certificate'
export { clearanceStep } from './clearance'
export { type OffsetOptions, type OffsetSolid, offsetSolid } from './offset-solid'
export { CLEARANCE_DEFAULTS, checkSettings } from './settings'
export { type Pond, standingWater } from './standing-water'
export type {
  Certificate,
  ClearanceRequest,
  ClearanceResult,
  ClearanceSettings,
  Shell,
  Verdict,
  Zone,
} from './types'
export { VERDICTS, ZONES } from './types'
