/** One pull looked at by itself: what would be locked if the part were drawn off that way. */
import type { Direction, Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { draftInView } from './draft'
import { facetSides, planView } from './plan-view'
import { type PullSearch, pullSearch } from './pull-search'
import { findSplit, type Split } from './split'
import type { UndercutSummary } from './types'
import { undercutInView } from './undercut'

export interface PullStudyRequest {
  readonly mesh: Mesh<'job'>
  /** Any length. */
  readonly pull: Point
  readonly minDraft_deg: number
}

export interface PullStudy {
  /** Unit. */
  readonly pull: Direction
  readonly undercut: UndercutSummary
  readonly minDraft_deg: number
  /** 0 free, 1 facing away, 2 blocked, one per facet of the mesh that was asked about. */
  readonly undercutClass: Uint8Array
  readonly meshId: string
}

/** @throws Refused `setting-impossible` for a pull without length */
export function* pullStudy({ mesh, pull, minDraft_deg }: PullStudyRequest): Steps<PullStudy> {
  const view = yield* within(0, 0.1, 'pull', planView(mesh, pull))
  const side = yield* within(0.1, 0.2, 'pull', facetSides(view))
  const { summary } = yield* within(0.2, 0.4, 'pull', draftInView(view, side, minDraft_deg))
  const locked = yield* within(0.4, 1, 'pull', undercutInView(view, side))
  return {
    pull: view.w,
    undercut: locked.summary,
    minDraft_deg: summary.min_deg,
    undercutClass: locked.undercutClass,
    meshId: mesh.id,
  }
}

export interface PullMapRequest {
  readonly mesh: Mesh<'job'>
  /** Only pulls that lie in the centreline plane: both sides then leave alike. */
  readonly symmetric: boolean
  /** Also the best plane to part the mould along. */
  readonly split: boolean
}

export interface PullMap {
  readonly meshId: string
  readonly symmetric: boolean
  readonly search: PullSearch
  readonly split: Split | null
}

/** The disc of pulls round +z, and where wanted the best split. */
export function* pullMap({ mesh, symmetric, split }: PullMapRequest): Steps<PullMap> {
  const search = yield* within(
    0,
    split ? 0.5 : 1,
    'pulls',
    pullSearch(mesh, { around: [0, 0, 1], symmetricAbout: symmetric ? [0, 1, 0] : null }),
  )
  const parted = split
    ? yield* within(
        0.5,
        1,
        'split',
        findSplit(mesh, { pull: [0, 0, 1], centreline: { normal: [0, 1, 0], offset_mm: 0 } }),
      )
    : null
  return { meshId: mesh.id, symmetric, search, split: parted }
}
