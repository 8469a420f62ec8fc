/** Will it come off its mould, and can it be cut? For our own shells and for any mesh the shop brings. */

export { ANALYSE_PART, analysePart, analysisStep } from './analysis'
export { type AsMade, type AsMadeOptions, asMade } from './as-made'
export { DRAFT_CLASS, draft, gapOpened_mm } from './draft'
export { partFindings } from './findings'
export { fitMirrorPlane } from './fit-mirror'
export { leastRadius } from './least-radius'
export { meshNoise } from './mesh-noise'
export { type MovedRequest, type MovedSurface, movedSurface } from './moved'
export { type PullSearch, pullSearch } from './pull-search'
export {
  type PullMap,
  type PullMapRequest,
  type PullStudy,
  type PullStudyRequest,
  pullMap,
  pullStudy,
} from './pull-study'
export { findSplit, type Split } from './split'
export { symmetry } from './symmetry'
export { type Thickness, thickness } from './thickness'
export type * from './types'
export { UNDERCUT_CLASS, undercut } from './undercut'
