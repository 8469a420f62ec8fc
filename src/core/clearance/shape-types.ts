/** Settings of the clearance step that say where the shell goes its own way: outline, lands, bosses, gaps by region, trims. */

/** A corner of a drawn outline, job axes, and the radius it is rounded with. */
export interface OutlinePoint {
  /** x, y in job axes, mm. */
  readonly at_mm: readonly [number, number]
  /** Fillet of the corner, mm; 0: the least radius of the shell. */
  readonly radius_mm: number
}

/** Where the skirt's wall runs in plan, at the height the result names as `outlineHeight_mm`. */
export type OutlineSetting =
  | { readonly from: 'silhouette' }
  | {
      readonly from: 'polygon'
      /** true: the points are the port half, in order, and the starboard half is their mirror image. */
      readonly mirrored: boolean
      readonly points: readonly OutlinePoint[]
    }

/** Metal inside a box asks for its own gap. */
export interface GapRegion {
  readonly name: string
  /** Lowest and highest corner of the box, job axes, mm. A facet belongs to it if one of its corners lies inside. */
  readonly min_mm: readonly [number, number, number]
  readonly max_mm: readonly [number, number, number]
  readonly gap_mm: number
}

/** What is kept beyond the gap because a made part is not the drawn one. */
export interface GapAllowance {
  /** For spread of the laminate (a gelcoat run, a doubled ply, a filled spot), mm, everywhere. */
  readonly laminate_mm: number
  /** Linear shrinkage of the part against its mould, %: a place a mm from the middle of the plan comes in by a times this. */
  readonly shrinkage_percent: number
}

/** How the vessel lies when water must run off. Level trim is always looked at besides. */
export interface Trim {
  readonly name: string
  /** Above 0: bow up. */
  readonly pitch_deg: number
  /** Above 0: starboard side down. */
  readonly heel_deg: number
}

/** A local rise over metal that stands proud, instead of lifting the whole sheet over it. */
export interface Boss {
  readonly name: string
  /** Middle in plan, job axes; on a symmetric top the other side has the same boss. */
  readonly at_mm: readonly [number, number]
  /** The metal within this distance in plan is cleared by the boss alone. */
  readonly radius_mm: number
  /** Of its wall, against the pull. */
  readonly draft_deg: number
}

/** Strips of the inner surface that come down on to the bearing tubes, so that the bedding is even. */
export interface LandSetting {
  /** flat: level across the tube; saddle: round about it. */
  readonly kind: 'none' | 'flat' | 'saddle'
  readonly width_mm: number
  /** Of the strips' sides, against the pull. */
  readonly draft_deg: number
}

export interface ShapeSettings {
  readonly bosses: readonly Boss[]
  readonly lands: LandSetting
  readonly outline: OutlineSetting
  /** Where two overlap the later one holds; a region holds over the mark of a tube. */
  readonly regions: readonly GapRegion[]
  readonly allowance: GapAllowance
  readonly trims: readonly Trim[]
}
