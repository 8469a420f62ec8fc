/** A wire as the job states it. */
export interface Wire {
  readonly id: string
  readonly name: string
  /** Fitting it comes from. */
  readonly from: string
  /** Fitting it goes to; null: it leaves at `exit_mm`. */
  readonly to: string | null
  /** Where it leaves through a leg, job axes. */
  readonly exit_mm: readonly [number, number, number] | null
  /** Chases it runs in, one after the other; none: by the corners of `via_mm`, or straight. */
  readonly chases: readonly string[]
  readonly via_mm: readonly (readonly [number, number])[]
  /** A mirror image of it for the twin. */
  readonly mirror: boolean
  /** Share added to the length. */
  readonly slack: number
  readonly section_mm2: number
  readonly outside_mm: number
  /** null: the voltage lost is not worked out. */
  readonly current_A: number | null
  readonly supply_V: number
  /** Share of the supply that may be lost: 0.03 for navigation lights, pumps, main feeds and electronics, 0.1 for the rest (S17). */
  readonly allowedDrop: number
}

export const WIRE_DEFAULTS: Omit<Wire, 'id' | 'name' | 'from'> = {
  to: null,
  exit_mm: null,
  chases: [],
  via_mm: [],
  mirror: false,
  slack: 0.1,
  section_mm2: 1.5,
  outside_mm: 3,
  current_A: null,
  supply_V: 12,
  allowedDrop: 0.03,
}
