/** Which tool, from what stock, can the cutter get there, how long: the only door of the tooling step. */

export type { Passes } from './raster-pass'
export { checkToolingSettings, TOOLING_DEFAULTS } from './settings'
export type { StockLayer, StockPiece, StockPlan, StockSection } from './stock'
export type { ToolClass, ToolClassChoice } from './tool-class'
export { PLAN_TOOL } from './tool-plan'
export { toolingStep } from './tooling'
export type * from './types'
