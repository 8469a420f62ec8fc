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

export interface ShapeSettings {
  readonly outline: OutlineSetting
}
