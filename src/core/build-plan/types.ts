import type { Point } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'

export interface PlyEntry {
  /** Id in `FABRICS`. */
  readonly fabric: string
  readonly layers: number
}

export interface CoreEntry {
  /** Id in `CORES`. */
  readonly kind: string
  readonly thickness_mm: number
}

export const INLETS = ['proposed', 'centreline', 'trim', 'athwart'] as const
export type Inlet = (typeof INLETS)[number]

export interface BuildSettings {
  readonly process: 'infusion' | 'hand'
  /** Id in `RESINS`. */
  readonly resin: string
  readonly gelcoat_mm: number
  /** Share ordered over what the shape takes: off-cuts and overlaps. */
  readonly waste: number
  readonly underside: readonly PlyEntry[]
  readonly topside: readonly PlyEntry[]
  /** Core under the crown of a shell; null: solid laminate. */
  readonly undersideCore: CoreEntry | null
  readonly topsideCore: CoreEntry | null
  /** Temperature of the shop, °C. */
  readonly shop_C: number
  /** Pressure left in the bag, mbar absolute. */
  readonly bag_mbar: number
  readonly flowMedium: boolean
  readonly inlet: Inlet
  /** Working time of the bonding paste at 25 °C, min. */
  readonly pasteWork_min: number
  /** Pressure wanted on the bond line while it cures, Pa, and the weight of one bag, kg. */
  readonly clamp_Pa: number
  readonly bag_kg: number
}

export interface BuildShell {
  readonly name: 'underside' | 'topside'
  readonly face: Mesh<'job'>
  readonly zone: Uint8Array
  readonly solid: Mesh<'job'>
  /** Thickness the shell was drawn with. */
  readonly drawn_mm: number
}

export interface BuildRequest {
  readonly shells: readonly BuildShell[]
  readonly fittings: readonly { readonly name: string; readonly mass_kg: number | null; readonly at: Point<'job'> }[]
  /** Least bond gap the joint was drawn with. */
  readonly bond_mm: number
  /** Width over which the joint is bonded. */
  readonly flange_mm: number
  readonly settings: BuildSettings
}

/** low, likely, high */
export type Band = readonly [number, number, number]

export interface LaminateLine {
  readonly what: string
  readonly layers: number
  readonly area_m2: number
  readonly thickness_mm: number
  readonly glass_kg: number
  readonly resin_kg: number
}

export interface ShellPlan {
  readonly name: BuildShell['name']
  /** m² of crown, edge, skirt, flange. */
  readonly area_m2: readonly [number, number, number, number]
  readonly lines: readonly LaminateLine[]
  readonly thickness_mm: number
  readonly drawn_mm: number
  readonly vf: number
  readonly gelcoat_kg: number
  readonly core_kg: number
  readonly mass_kg: number
  readonly centre: Point<'job'>
  /** The other process, for comparison: thickness, mass, resin. */
  readonly other: {
    readonly process: BuildSettings['process']
    readonly thickness_mm: number
    readonly mass_kg: number
    readonly resin_kg: number
  }
}

export interface InfusionPlan {
  readonly name: BuildShell['name']
  readonly inlet: Exclude<Inlet, 'proposed'>
  /** Fill time with high, likely and low permeability, min: quickest first. */
  readonly fill_min: Band
  readonly gel_min: number
  readonly resin_l: number
  /** Where the resin comes last. */
  readonly lastAt: Point<'job'>
  readonly pockets: readonly { readonly area_m2: number; readonly at: Point<'job'>; readonly left_l: number }[]
  readonly dry_m2: number
  readonly compared: readonly {
    readonly inlet: Exclude<Inlet, 'proposed'>
    readonly fill_min: number
    readonly pockets: number
  }[]
  /** Likely arrival at each facet of the face, min; NaN where the resin never comes. */
  readonly arrival: FacetField
}

export interface BondPlan {
  readonly length_m: number
  readonly paste_l: number
  readonly paste_kg: number
  readonly putty_l: number
  readonly area_m2: number
  /** Area by gap: contact, paste, putty, void, m². */
  readonly zones_m2: readonly [number, number, number, number]
  readonly gap_mm: { readonly min: number; readonly mean: number; readonly max: number }
  readonly beadLeg_mm: number
  readonly work_min: number
  readonly bags: number
}

export interface TravellerLine {
  readonly stage: string
  readonly text: string
  /** What the numbers were worked out from. */
  readonly from: string
  readonly caution?: string
}

export interface BuildResult {
  readonly shells: readonly ShellPlan[]
  readonly infusion: readonly InfusionPlan[]
  readonly bond: BondPlan | null
  readonly order: readonly { readonly what: string; readonly amount: number; readonly unit: string }[]
  readonly mass_kg: number
  readonly centre: Point<'job'>
  /** Fittings without a stated mass: the total is short of them. */
  readonly unweighed: readonly string[]
  readonly traveller: readonly TravellerLine[]
  readonly findings: readonly Finding[]
}
