import type { Matrix4, Point } from '../geometry/axes'
import type { FacetField } from '../geometry/facet-field'
import type { Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import type { Passes } from './raster-pass'
import type { Board, StockPlan } from './stock'
import type { ToolClass, ToolClassChoice } from './tool-class'
import type { ShellRole } from './tool-face'

export interface CutterSetting {
  readonly name: string
  /** Roughing takes the bulk; finishing cutters follow one another, each takes what those before it left. */
  readonly use: 'rough' | 'finish'
  readonly diameter_mm: number
  /** Half the diameter: ball; 0: flat; between: bull-nose. */
  readonly cornerRadius_mm: number
  readonly flute_mm: number
  /** From the tip to the holder. */
  readonly stickOut_mm: number
  readonly holderDiameter_mm: number
  readonly feed_mm_min: number
  /** Depth of a layer and width of cut when roughing. */
  readonly depth_mm: number
  readonly width_mm: number
}

export interface ClassSetting {
  readonly life_parts: number
  readonly part_cost: number
  /** Making and coating a mould of one square metre over the plug; 0 for a mould that is machined itself. */
  readonly laminate_cost_m2: number
  readonly lead_days: number
}

/** All lengths mm, angles degrees, money in the shop's own currency. The keys are those of `job.json`. */
export interface ToolingSettings {
  readonly parts: number
  readonly made: 'auto' | ToolClass
  readonly construction: 'block' | 'shell'
  readonly wall_mm: number
  readonly base_mm: number
  readonly sideDraft_deg: number
  readonly beyondTrim_mm: number
  readonly foldRadius_mm: number
  readonly flange_mm: number
  readonly shrinkage: number
  readonly scallop_mm: number
  readonly profileTolerance_mm: number
  readonly roughLeave_mm: number
  /** Deeper left-over than this counts as not reached. */
  readonly leftLimit_mm: number
  /** Set-up directions of the spindle in tool axes beside straight down, unit or not; the tool is turned for each. */
  readonly directions: readonly (readonly [number, number, number])[]
  readonly cutters: readonly CutterSetting[]
  readonly board: Board & { readonly cost: number; readonly allowance_mm: number }
  readonly machine: {
    readonly travel_mm: readonly [number, number, number]
    readonly acceleration_mm_s2: readonly [number, number, number]
    readonly rapid_mm_min: number
    readonly toolChange_s: number
    readonly setup_h: number
    readonly cost_h: number
    readonly liftLimit_kg: number
  }
  readonly hand: { readonly h_m2: number; readonly cost_h: number }
  readonly classes: { readonly [C in ToolClass]: ClassSetting }
  /** What the reckoned machine time is multiplied with: controller, dust, care. */
  readonly timeFactors: readonly [number, number, number]
}

export interface ToolingShell {
  readonly role: ShellRole
  /** Moulded face, job axes. */
  readonly face: Mesh<'job'>
  /** 1 on facets of the edge radius, where glue lines are unwelcome. One per facet. */
  readonly edge: Uint8Array
}

export interface ToolingRequest {
  readonly shells: readonly ToolingShell[]
  readonly settings: ToolingSettings
}

export interface Range {
  readonly low: number
  readonly likely: number
  readonly high: number
}

export interface TimePart extends Range {
  readonly name: string
}

export interface CutterAccess {
  readonly name: string
  readonly diameter_mm: number
  readonly cornerRadius_mm: number
  /** Moulded area left uncut deeper than the limit after this cutter and those before it. */
  readonly left_mm2: number
  /** Deepest left-over, along the face's normal and along z there, and its place in job axes. */
  readonly deepest_mm: number
  readonly deepestZ_mm: number
  readonly deepestAt: Point<'job'> | null
  /** Places measured exactly, and places that keep the grid's estimate, which is never too small. */
  readonly measured: number
  readonly estimated: number
  /** Stick-out at which the holder would clear everything, where it is asked most. */
  readonly neededStickOut_mm: number
  readonly stickOut_mm: number
  /** Plan area of places where the holder would touch at the stick-out given. */
  readonly holderTouches_mm2: number
  readonly holderAt: Point<'job'> | null
}

export interface DatumMark {
  readonly name: string
  /** On the flange, tool axes: middle of a spherical seat. */
  readonly at: readonly [number, number, number]
  readonly ball_mm: number
}

/** One tool to be machined. */
export interface ToolPlan {
  readonly role: ShellRole
  readonly made: ToolClass
  /** Crown on top. */
  readonly male: boolean
  /** Job axes to tool axes, shrinkage included. */
  readonly matrix: Matrix4
  readonly solid: Mesh<'part'>
  readonly volume_mm3: number
  readonly mass_kg: number
  readonly footprint_mm: readonly [number, number, number]
  /** Area to be finished: the face, past the trim line, and the flange. */
  readonly area_mm2: number
  readonly mouldedArea_mm2: number
  /** Trim line, x y z, tool axes. */
  readonly trim: Float32Array
  readonly narrowestFlange_mm: number
  readonly marks: readonly DatumMark[]
  readonly stock: StockPlan
  readonly cutters: readonly CutterAccess[]
  /** Left-over after all cutters along the normal, mm, one per facet of the shell's moulded face. */
  readonly left: FacetField
  readonly stepOver_mm: number
  /** Scallop that the step-over leaves at 95 % of the area that passes side by side are for. */
  readonly scallop_mm: number
  readonly raster: Passes
  readonly contour: Passes
  readonly passLength_mm: number
  readonly roughed_mm3: number
  readonly time_h: readonly TimePart[]
  readonly total_h: Range
  readonly cost: Range
}

export interface ToolingResult {
  readonly choice: ToolClassChoice
  readonly tools: readonly ToolPlan[]
  readonly boards: number
  readonly boardsLeast: number
  readonly total_h: Range
  readonly cost: Range
  readonly findings: readonly Finding[]
}
