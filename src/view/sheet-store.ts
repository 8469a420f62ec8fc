/** What only this sheet needs to know: which shell is looked at, whether the view was turned, what the pointer is over. */
import { createStore, type StoreApi } from 'zustand/vanilla'
import type { Vec3 } from './camera/eye'

export type PartName = 'underside' | 'topside'

export interface Hover {
  readonly kind: 'frame' | PartName | 'fitting'
  readonly facet: number
  readonly at: Vec3
  /** Place on the sheet, px. */
  readonly x: number
  readonly y: number
  /** Of a fitting. */
  readonly id: string | null
}

export interface SheetState {
  /** Chosen by the person; null: the one in trouble. */
  readonly part: PartName | null
  /** True when the drawing was turned away from its named view. */
  readonly turned: boolean
  readonly hover: Hover | null
  /** How far the shell has travelled along its pull, 0…1. */
  readonly pulled: number
  /** The filling is shown up to this moment, min; null: to its end. */
  readonly filledTo_min: number | null
  readonly glassLarge: boolean
  /** A fitting is being dragged. */
  readonly dragging: boolean
}

export type SheetStore = StoreApi<SheetState>

export const createSheetStore = (): SheetStore =>
  createStore<SheetState>(() => ({
    part: null,
    turned: false,
    hover: null,
    pulled: 0,
    filledTo_min: null,
    glassLarge: false,
    dragging: false,
  }))
