/** What only this sheet needs to know: which shell is looked at, whether the view was turned, what the pointer is over. */
import { createStore, type StoreApi } from 'zustand/vanilla'
import type { Vec3 } from './camera/eye'
import type { Measure, Spot } from './measuring/measure'

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
  /** Where a measurement would take hold; null while nothing is measured. */
  readonly spot: Spot | null
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
  /** Dimensions that were taken, until they are closed. */
  readonly measures: readonly Measure[]
  /** First end of a dimension that waits for its second. */
  readonly pending: Spot | null
  /** What the second end is: a point that is clicked, or the nearest place of a part. */
  readonly measureTo: 'point' | 'frame' | PartName
  /** The pointer of the keyboard, px; null while it rests. */
  readonly cross: { readonly x: number; readonly y: number } | null
  /** How far the shells stand apart, 0…1. */
  readonly spread: number
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
    measures: [],
    pending: null,
    measureTo: 'point',
    cross: null,
    spread: 0,
  }))
