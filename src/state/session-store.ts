/** Camera, choice, section: how one person looks at the job right now. Never in the job, never undone. */
import { createStore, type StoreApi } from 'zustand/vanilla'
import type { MovedSurface, PullMap, PullStudy } from '../core/analysis'
import type { ClearanceSettings, Shell } from '../core/clearance'
import type { Point } from '../core/geometry/axes'
import type { Mesh } from '../core/geometry/mesh'
import type { StepName } from '../core/geometry/trouble'
import type { AskedPlace, RemarkPlace } from './asked-place'
import type { Crop } from './crop'
import type { Laying } from './laying'
import type { MetalLook } from './metal-look'
import type { Placing } from './placing'

export type Question = 'clear' | 'live' | 'off' | 'release'
export type ViewName = 'starboard-forward' | 'starboard-aft' | 'plan' | 'profile' | 'body' | 'helm'
export type MapName =
  | 'gap'
  | 'metal'
  | 'unseen'
  | 'lift'
  | 'mirror'
  | 'draft'
  | 'locked'
  | 'radius'
  | 'filling'
  | 'made'
  | 'moved'
  | 'none'

/** What the datum slip lays over the metal: its mirror image, the map of the distances between the two, nothing. */
export type MirrorShown = 'image' | 'error' | 'none'

/**
 * A mirror image further from the metal than this many times the noise is more than noise: both faces are scanned, so that
 * their distance has √2 of it, and 95 % of that stays within 2.8. At 2 the legs of the demo were speckled.
 */
export const BEYOND_NOISE = 3

export interface Section {
  /** The plane cuts across this axis of the job. */
  readonly across: 'x' | 'y'
  readonly at_mm: number
  /** The spot it was cut for; the glass magnifies it. */
  readonly spot: Point<'job'> | null
}

/** A shell held off its seat, along the way on which it is lowered. */
export interface Held {
  readonly shell: 'underside' | 'topside'
  /** Unit, from the seat back along the way. */
  readonly direction: Point<'job'>
  readonly mm: number
}

/** Other pulls of one part, looked at apart from the plan. */
export interface PullLook {
  readonly part: 'underside' | 'topside'
  readonly meshId: string
  readonly map: PullMap | null
  /** The pull that is tried out on the drawing. */
  readonly chosen: PullStudy | null
  readonly busy: boolean
}

/** The shells against those of an earlier release. */
export interface MovedLook {
  /** Content hash of the release. */
  readonly release: string
  /** How it is told: 'rev A'. */
  readonly name: string
  /** Null while it is worked out. */
  readonly parts: { readonly underside: MovedSurface; readonly topside: MovedSurface } | null
}

export interface SessionState {
  readonly question: Question
  /** The step whose slip is open. */
  readonly slip: StepName | null
  readonly map: MapName
  readonly view: ViewName
  /** Raised to fly back to `view` although it has not changed. */
  readonly viewAsked: number
  readonly section: Section | null
  /** True: nothing is cut, although the question would cut at its spot. */
  readonly uncut: boolean
  /** Clicks on the drawing measure. */
  readonly measuring: boolean
  /** The shells stand apart, above each other. */
  readonly apart: boolean
  /** One looks through the shells. */
  readonly through: boolean
  /** A standing figure of stated height beside the frame, for scale. */
  readonly figure: boolean
  /** The finding that was chosen, by id. */
  readonly finding: string | null
  readonly fitting: string | null
  /** The tube whose row of the frame slip is open, by id. */
  readonly tube: string | null
  /** Tubes that are pointed at, on the drawing or in a table. */
  readonly tubesLit: readonly string[]
  readonly mirrorShown: MirrorShown
  /** A place that the eye was sent to besides a finding; another array sends it there again. */
  readonly lookAt: Point<'job'> | null
  /** Null: both shells stand on their seats. */
  readonly held: Held | null
  /** Which shell's filling is looked at while the build slip is open. */
  readonly fillingShell: 'underside' | 'topside'
  /** An inlet or vent that is being placed, click by click. */
  readonly placing: Placing | null
  /** A place that is asked for on the drawing. */
  readonly asked: AskedPlace | null
  /** A crop that is looked at before it is made. */
  readonly crop: Crop | null
  /** Two scans drawn beside each other, to be picked on. */
  readonly laying: Laying | null
  /** What the remark that is being written points at. */
  readonly remarkAt: RemarkPlace | null
  /** Settings of the clearance step that are being chosen and are not in the job yet. */
  readonly trial: Partial<ClearanceSettings> | null
  /** The underside roughly, while the exact one is not there; no figure is of it. */
  readonly rough: Shell | null
  /** The inner surface of another state of the job, drawn beside the one as it is; its face is null while it is worked out. */
  readonly kept: { readonly name: string; readonly face: Mesh<'job'> | null } | null
  /** The gap map of the metal that was made last. */
  readonly metal: MetalLook | null
  /** The point of the drawn outline whose numbers are open, from 0. */
  readonly outlinePoint: number
  readonly pulls: PullLook | null
  readonly moved: MovedLook | null
  readonly lengthUnit: 'mm' | 'in'
  /** Limits that the legend's leads were dragged to, by map; the job's own limit where none. */
  readonly limits: Readonly<Partial<Record<MapName, number>>>
  /** A sentence for the person, until the next action: a refused file, a copied figure. */
  readonly notice: {
    readonly kind: 'refused' | 'defect' | 'said'
    readonly text: string
    /** What may be done about it at once. */
    readonly way?: { readonly words: string; go(): void }
  } | null
  readonly savedAt: number | null
  /** The page that opens files and kept jobs. */
  readonly opening: boolean
  /** The key that is open in this tab: whose, and how it is told apart. */
  readonly key: { readonly name: string; readonly fingerprint: string } | null
  /** Values of seals in the job that do not fit what they stand under. */
  readonly brokenSeals: readonly string[]
}

export type SessionStore = StoreApi<SessionState>

export const createSession = (): SessionStore =>
  createStore<SessionState>(() => ({
    question: 'clear',
    slip: null,
    map: 'gap',
    view: 'starboard-forward',
    viewAsked: 0,
    section: null,
    uncut: false,
    measuring: false,
    apart: false,
    through: false,
    figure: false,
    finding: null,
    fitting: null,
    tube: null,
    tubesLit: [],
    mirrorShown: 'image',
    lookAt: null,
    held: null,
    fillingShell: 'topside',
    placing: null,
    asked: null,
    crop: null,
    laying: null,
    remarkAt: null,
    trial: null,
    rough: null,
    kept: null,
    metal: null,
    outlinePoint: 0,
    pulls: null,
    moved: null,
    lengthUnit: 'mm',
    limits: {},
    notice: null,
    savedAt: null,
    opening: false,
    key: null,
    brokenSeals: [],
  }))
