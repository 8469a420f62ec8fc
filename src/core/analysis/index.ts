/** Will it come off its mould, and can it be cut? For our own shells and for any mesh the shop brings. */

export { DRAFT_CLASS, type DraftResult, draft, facetMiddle } from './draft'
export type * from './types'
export { UNDERCUT_CLASS, type UndercutResult, undercut } from './undercut'
