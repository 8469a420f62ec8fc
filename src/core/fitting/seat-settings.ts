import type { Chase, SeatSettings } from './seat-types'

/** What a fitting that says nothing about its seat gets. Margin and heights: common practice, no source. */
export const SEAT_DEFAULTS: SeatSettings = {
  kind: 'none',
  margin_mm: 4,
  height_mm: null,
  draft_deg: null,
  cornerRadius_mm: null,
  edgeRadius_mm: null,
  footRadius_mm: null,
  bothSides: false,
}

export const CHASE_DEFAULTS: Omit<Chase, 'id' | 'name' | 'path_mm'> = {
  on: 'topside',
  width_mm: 24,
  depth_mm: 6,
  draft_deg: null,
  edgeRadius_mm: null,
  footRadius_mm: null,
  bendRadius_mm: 60,
  mirror: false,
}

/** Height of a pad and depth of a pocket where the seat says nothing, mm. */
export const PAD_MM = 3
export const RECESS_MM = 6
