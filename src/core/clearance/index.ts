/** The only door of the clearance step. */
export { certify } from './certificate'
export { triangulate } from './constrained-triangulation'
export { type ImportedShell, importedShell } from './imported-shell'
export { laminate, NO_TWIN } from './laminate'
export { type BearingGap, type BearingTube, PIECE_MM, type RegionGap } from './metal-gaps'
export { type MetalMap, type MetalMapRequest, metalMap } from './metal-map'
export { type OffsetOptions, type OffsetSolid, offsetSolid } from './offset-solid'
export {
  CHORD_ERROR_MM,
  type OutlineFile,
  type OutlineFileRequest,
  readOutline,
} from './outline-file/read-outline'
export { drawnOutline, filletRoom_mm } from './outline-start'
export { mitres, type PlanCurve } from './plan-curve'
export { requiredGap_mm } from './required-gap'
export {
  type RoughRequest,
  type RoughUnderside,
  roughUnderside,
  type ThinFrame,
  type ThinFrameRequest,
  thinFrame,
} from './rough'
export { CLEARANCE_DEFAULTS, checkSettings } from './settings'
export { type Pond, standingWater } from './standing-water'
export { clearanceStep } from './step'
export type {
  BetweenShells,
  Boss,
  Certificate,
  ClearanceRequest,
  ClearanceResult,
  ClearanceSettings,
  GapAllowance,
  GapRegion,
  ImportedMesh,
  ImportedShells,
  LandSetting,
  Lowering,
  OutlinePoint,
  OutlineSetting,
  Shell,
  Trim,
  Verdict,
  Zone,
} from './types'
export { VERDICTS, ZONES } from './types'
export { type DrainingCamber, type TrimWater, waterAtTrims } from './water-trims'
