import type { FastenerPitch } from '../frame'
import type { Matrix4, Point } from '../geometry/axes'
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

export const INLETS = ['proposed', 'centreline', 'quarters', 'athwart', 'trim', 'placed'] as const
export type Inlet = (typeof INLETS)[number]
export type Layout = Exclude<Inlet, 'proposed'>

/** An inlet that the user placed on a shell; points near its moulded face, job axes, mm. */
export interface FeedEntry {
  readonly shell: 'underside' | 'topside'
  /** One point, a broken line, or a closed one. */
  readonly kind: 'point' | 'line' | 'ring'
  readonly points: readonly Point<'job'>[]
  /** Radius of a point inlet's mouth, mm. */
  readonly radius_mm: number
}

/** More plies on a part of a shell. */
export interface PlyZone {
  readonly name: string
  readonly shell: 'underside' | 'topside'
  /** A zone of the shell, the fittings' bases with a margin, or a box in job axes. */
  readonly kind: 'crown' | 'edge' | 'skirt' | 'flange' | 'fittings' | 'box'
  /** Round the bases, mm. */
  readonly margin_mm: number
  readonly min: Point<'job'>
  readonly max: Point<'job'>
  readonly plies: readonly PlyEntry[]
  /** Core kind that takes the core's place here; null: the core stays. */
  readonly insert: string | null
}

export interface VentEntry {
  readonly shell: 'underside' | 'topside'
  readonly at: Point<'job'>
}

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
  readonly zones: readonly PlyZone[]
  /** How much further each ply under the last one of a zone reaches, mm. */
  readonly dropOff_mm: number
  /** Usable width of the fabric rolls, mm. */
  readonly rollWidth_mm: number
  /** Even pressure for the panel check, Pa. */
  readonly panelLoad_Pa: number
  /** When the gelcoat is laid, as typed: 2026-11-25T08:00; empty: hours only. */
  readonly start: string
  /** INVENTED rates: money in the shop's own currency. */
  readonly rates: {
    readonly fabric_kg: number
    readonly resin_kg: number
    readonly gelcoat_kg: number
    readonly core_m2: number
    readonly paste_kg: number
  }
  readonly inlet: Inlet
  /** What was placed; used where `inlet` is `placed`. Without a vent of its own a shell is vented along its trim line. */
  readonly feeds: readonly FeedEntry[]
  readonly vents: readonly VentEntry[]
  /** Bore of feed lines, mm. */
  readonly feedBore_mm: number
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

/** A hole somebody wants, near the shell; its centre is brought on to the moulded face. */
export interface WantedHole {
  readonly name: string
  readonly at: Point<'job'>
  /** null: not said, only the centre is marked. */
  readonly diameter_mm: number | null
}

/** A tube that gets fasteners at a pitch, down through the inner shell on to its crest. */
export interface FastenedTube {
  readonly id: string
  readonly name: string
  /** Stations of its axis, job axes. */
  readonly axis: readonly Point<'job'>[]
  readonly closed: boolean
  readonly radius_mm: number
  readonly fasteners: FastenerPitch
}

export interface BuildSupport {
  readonly name: string
  /** Axis of a bearing tube, job axes. */
  readonly axis: readonly Point<'job'>[]
}

export interface BuildFitting {
  readonly name: string
  readonly twin: boolean
  readonly on: BuildShell['name']
  readonly mass_kg: number | null
  /** Its seat: middle of the base on the shell, and the shell's normal there. */
  readonly at: Point<'job'>
  readonly normal: Point<'job'>
  /** The part in job axes, and its base plane in its own. */
  readonly mesh: Mesh<'job'>
  readonly pose: Matrix4
  readonly base: { readonly normal: Point<'part'>; readonly at: Point<'part'> }
  readonly holes: readonly WantedHole[]
}

export interface BuildRequest {
  readonly shells: readonly BuildShell[]
  readonly fittings: readonly BuildFitting[]
  /** Fasteners into the tubes of the frame. */
  readonly fasteners: readonly WantedHole[]
  readonly fastenedTubes: readonly FastenedTube[]
  readonly supports: readonly BuildSupport[]
  /** Least bond gap the joint was drawn with. */
  readonly bond_mm: number
  /** Width over which the joint is bonded. */
  readonly flange_mm: number
  readonly settings: BuildSettings
}

/** The resin should be through within this share of the gel time (I22: common practice is 0.5 to 0.7). */
export const GEL_SHARE = 0.6

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

export interface ZoneFigures {
  readonly name: string
  readonly area_m2: number
  /** Edge towards the rest of the shell, m: where plies drop off. */
  readonly edge_m: number
  readonly lines: readonly LaminateLine[]
  /** Laminate there, all plies together. */
  readonly thickness_mm: number
  readonly vf: number
  /** Of what the zone adds. */
  readonly mass_kg: number
  readonly resin_kg: number
  readonly cost: number
}

/** How far a shell gives between what carries it; for orientation, never for scantlings. */
export interface PanelCheck {
  readonly shell: BuildShell['name']
  readonly span_mm: number
  /** Middle of the widest span. */
  readonly at: Point<'job'>
  readonly load_Pa: number
  readonly modulus_GPa: number
  readonly bending_Nm: number
  readonly deflection_mm: number
  /** Share of the core's shear in it, mm. */
  readonly shear_mm: number
  /** False: larger than half of the thickness, beyond the formula. */
  readonly small: boolean
  readonly formula: string
}

/** Hours at 20 °C, low and high. */
export interface Resin20 {
  readonly gelcoat_h: readonly [number, number]
  readonly demould_h: readonly [number, number]
  readonly load_h: readonly [number, number]
  readonly postCure: { readonly temperature_C: number; readonly hours: readonly [number, number] }
}

/** Something that happens between two moments after the start, hours. */
export interface CureEvent {
  readonly name: string
  readonly from_h: number
  readonly to_h: number
  /** Wall clock of both, where a start was typed. */
  readonly clock: readonly [string, string] | null
  /** Where it is not the shop's. */
  readonly temperature_C?: number
  readonly caution?: string
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
  /** All of the resin: plies everywhere, zones, core. */
  readonly resin_kg: number
  readonly mass_kg: number
  readonly centre: Point<'job'>
  /** What each zone has over the plies that lie everywhere. */
  readonly zones: readonly ZoneFigures[]
  /** Core to cut: the crown less the inserts, and the inserts. */
  readonly cores: readonly {
    readonly what: string
    readonly thickness_mm: number
    readonly area_m2: number
    readonly mass_kg: number
  }[]
  /** Money, plies, resin, gelcoat and core with waste. */
  readonly cost: number
  /** The other process, for comparison: thickness, mass, resin. */
  readonly other: {
    readonly process: BuildSettings['process']
    readonly thickness_mm: number
    readonly mass_kg: number
    readonly resin_kg: number
  }
}

/** A piece of a shell laid flat, to cut plies and core by. */
export interface FlatPlan {
  readonly shell: BuildShell['name']
  /** Zone, and its number where there are several of it. */
  readonly name: string
  readonly area_m2: number
  /** Core or an insert is cut to it too. */
  readonly forCore: boolean
  /** Largest change of length over 95 % of the area, and anywhere; shares. */
  readonly strain95: number
  readonly strainMost: number
  /** Near enough to lying flat: only then there is an outline. */
  readonly flat: boolean
  readonly size_mm: readonly [number, number]
  /** Closed loops, u v mm, the longest first. */
  readonly outline: readonly (readonly (readonly [number, number])[])[]
}

export interface InfusionPlan {
  readonly name: BuildShell['name']
  readonly inlet: Layout
  /** `placed` was asked, but nothing is placed on this shell: the quickest layout stands in. */
  readonly nothingPlaced: boolean
  /** Fill time with high, likely and low permeability, min: quickest first. */
  readonly fill_min: Band
  readonly gel_min: number
  /** Resin in the laminate, and in the feed lines over it. */
  readonly resin_l: number
  readonly feed_m: number
  readonly feed_l: number
  /** Pressure that the longest feed line takes at the mean flow, which leaves evenly along it (Hagen and Poiseuille, I19), Pa. */
  readonly feedDrop_Pa: number
  /** Static head over the height of the shell, ρ g Δz, Pa (I17), and the pressure that drives the resin. */
  readonly head_Pa: number
  readonly drive_Pa: number
  /** Where the resin comes last. */
  readonly lastAt: Point<'job'>
  /** Areas that the resin reaches in the last tenth of the filling, the latest first. */
  readonly lastAreas: readonly { readonly area_m2: number; readonly at: Point<'job'>; readonly at_min: number }[]
  readonly pockets: readonly { readonly area_m2: number; readonly at: Point<'job'>; readonly left_l: number }[]
  readonly dry_m2: number
  /** Every layout tried on a mesh of a third of the nodes, to choose by. */
  readonly compared: readonly { readonly inlet: Layout; readonly fill_min: number; readonly pocket_m2: number }[]
  /** Feed lines as they lie on the shell, and placed vents. */
  readonly lines: readonly (readonly Point<'job'>[])[]
  readonly vents: readonly Point<'job'>[]
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

/** A hole centre on a moulded face, with what a tape can check. */
export interface DrillMark {
  /** 'centre' is the middle of the fitting's base; the rest are named by their holes. */
  readonly name: string
  readonly diameter_mm: number | null
  /** On the moulded face, job axes. */
  readonly at: Point<'job'>
  /** In the template's plane from the seat: ahead and to port (tubes: x and y of the job). */
  readonly u_mm: number
  readonly v_mm: number
  readonly toCentreline_mm: number
  /** Straight to the nearest place of the trim line, and that place's length along the line from its start. */
  readonly toTrim_mm: number
  readonly alongTrim_mm: number
}

/** A full-size template for one fitting, flat in the plane of its seat: origin at the seat, u ahead, v to port. */
export interface DrillTemplate {
  readonly fitting: string
  readonly twin: boolean
  readonly on: BuildShell['name']
  /** The seat on the shell, its normal, and the direction of u, job axes. */
  readonly at: Point<'job'>
  readonly normal: Point<'job'>
  readonly ahead: Point<'job'>
  /** Hull of the base, u v mm, counter-clockwise; empty where nothing flat was found. */
  readonly outline: readonly (readonly [number, number])[]
  readonly marks: readonly DrillMark[]
}

/**
 * Everything that is cut and bored after moulding, on the moulded faces, job axes, mm. `trims`: the closed trim line of each
 * shell (first point not repeated; it starts forward on the centreline and runs to port). `drills`: one per fitting and twin.
 * `tubes`: fasteners into the frame, marked on the inner surface.
 */
export interface Templates {
  readonly trims: readonly {
    readonly shell: BuildShell['name']
    readonly points: readonly Point<'job'>[]
    readonly length_mm: number
  }[]
  readonly drills: readonly DrillTemplate[]
  readonly tubes: readonly DrillMark[]
}

/** A number of the traveller, with what it was worked out from. */
export interface TracedFigure {
  readonly shown: string
  readonly formula: string
  /** The formula's inputs with their values. */
  readonly inputs: string
}

export interface TravellerLine {
  readonly stage: string
  readonly text: string
  /** The text in pieces: plain words, and numbers that can be traced. */
  readonly parts: readonly (string | TracedFigure)[]
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
  readonly templates: Templates
  readonly panels: readonly PanelCheck[]
  readonly flats: readonly FlatPlan[]
  /** Running metres of each fabric off the roll, by area alone, waste included. */
  readonly rolls: readonly { readonly what: string; readonly area_m2: number; readonly length_m: number }[]
  readonly cure: readonly CureEvent[]
  /** Money: shells and paste. */
  readonly cost: number
  readonly findings: readonly Finding[]
}
