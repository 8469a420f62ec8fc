/**
 * What the finishing cutters reach of a face, one after the other, and how far they must stick out for their holders to clear.
 */
import { type Steps, within } from '../geometry/kernel'
import { bounds } from '../geometry/mesh'
import type { ContactMesh } from './contact'
import { type CutterRadii, cutterRadii } from './cutter'
import type { FacetBins } from './drop-at'
import { type DropGrid, dropCutter } from './drop-cutter'
import { restMaterial } from './rest-material'
import type { SurfaceSamples } from './surface-samples'
import type { CutterSetting } from './types'

export interface AccessOptions {
  readonly contact: ContactMesh
  readonly bins: FacetBins
  /** Places that matter: the moulded face. */
  readonly samples: SurfaceSamples
  readonly cutters: readonly CutterSetting[]
  readonly leftLimit_mm: number
}

export interface Access {
  readonly cutter: CutterSetting
  readonly left_mm2: number
  readonly deepest_mm: number
  readonly deepestZ_mm: number
  /** Sample number, −1 if nothing is left. */
  readonly deepest: number
  readonly measured: number
  readonly estimated: number
  readonly neededStickOut_mm: number
  readonly neededAt: readonly [number, number, number] | null
  readonly holderTouches_mm2: number
  /** Tips on the grid, holder's lift included. */
  readonly grid: DropGrid
  readonly tip: Float64Array
}

export interface AccessResult {
  readonly steps: readonly Access[]
  /** After all cutters, one per sample, mm. */
  readonly normal_mm: Float32Array
  readonly z_mm: Float32Array
}

/** Pitch of the tips' grid, mm. */
const PITCH_MM = 2
/** Counted as cut clean below this; a lift below it is a left-over below it. */
const CLEAN_MM = 0.015

export function* cutterAccess(options: AccessOptions): Steps<AccessResult> {
  const { contact, bins, cutters, leftLimit_mm } = options
  const normal_mm = new Float32Array(options.samples.count).fill(Infinity)
  const z_mm = new Float32Array(options.samples.count)
  const steps: Access[] = []
  let uncut = options.samples
  let number: Uint32Array | null = null // of each sample still to do, in the whole list
  for (let c = 0; c < cutters.length; c++) {
    const cutter = cutters[c]!
    const share = (t: number) => (c + t) / cutters.length
    const radii = cutterRadii(cutter)
    const grid = gridOver(contact, radii)
    const tip = yield* within(share(0), share(0.3), cutter.name, dropCutter(contact, cutter, grid))
    const reach = yield* within(share(0.3), share(0.5), cutter.name, holderReach(contact, cutter, grid, tip))
    const rest = yield* within(
      share(0.5),
      share(1),
      cutter.name,
      restMaterial({
        bins,
        radii,
        grid,
        tip,
        samples: uncut,
        clean_mm: CLEAN_MM,
        // Known not to touch with a little to spare, the holder is left out: it costs a second drop a place.
        ...(reach.needed_mm > cutter.stickOut_mm - 1
          ? { holder: { radius_mm: cutter.holderDiameter_mm / 2, stickOut_mm: cutter.stickOut_mm } }
          : {}),
      }),
    )
    for (let s = 0; s < uncut.count; s++) {
      const at = number ? number[s]! : s
      if (rest.normal_mm[s]! < normal_mm[at]!) {
        normal_mm[at] = rest.normal_mm[s]!
        z_mm[at] = rest.z_mm[s]!
      }
    }
    steps.push({
      cutter,
      ...summary(options.samples, normal_mm, z_mm, leftLimit_mm),
      measured: rest.searched,
      estimated: rest.estimated,
      neededStickOut_mm: reach.needed_mm,
      neededAt: reach.at,
      holderTouches_mm2: reach.touches_mm2,
      grid,
      tip,
    })
    const left: number[] = []
    for (let s = 0; s < options.samples.count; s++) if (normal_mm[s]! > CLEAN_MM) left.push(s)
    number = Uint32Array.from(left)
    uncut = only(options.samples, number)
    if (uncut.count === 0 && c + 1 < cutters.length) {
      // Nothing is left: a smaller cutter is not needed.
      break
    }
  }
  return { steps, normal_mm, z_mm }
}

function summary(samples: SurfaceSamples, normal_mm: Float32Array, z_mm: Float32Array, limit_mm: number) {
  let left_mm2 = 0
  let deepest = -1
  let deepest_mm = 0
  for (let s = 0; s < samples.count; s++) {
    const depth = normal_mm[s]!
    if (depth > limit_mm) left_mm2 += samples.area_mm2[s]!
    if (depth > deepest_mm) {
      deepest_mm = depth
      deepest = s
    }
  }
  return { left_mm2, deepest, deepest_mm, deepestZ_mm: deepest < 0 ? 0 : z_mm[deepest]! }
}

/** Grid over the face and a cutter's radius around it. */
function gridOver({ mesh }: ContactMesh, { R }: CutterRadii): DropGrid {
  const { min, max } = bounds(mesh)
  return {
    x0: min[0] - R,
    y0: min[1] - R,
    h: PITCH_MM,
    nx: Math.ceil((max[0] - min[0] + 2 * R) / PITCH_MM) + 1,
    ny: Math.ceil((max[1] - min[1] + 2 * R) / PITCH_MM) + 1,
  }
}

export interface HolderReach {
  /** Least stick-out with which the holder clears the face at every place of the grid, mm. */
  readonly needed_mm: number
  /** Tip where that is asked. */
  readonly at: readonly [number, number, number] | null
  /** Plan area where more is needed than the cutter sticks out. */
  readonly touches_mm2: number
}

/**
 * The holder is a flat disc that stands `stickOut_mm` above the tip: dropped on the face by itself, what it stands higher than
 * the tip is what the tool must stick out. Places beyond the rim, where neither meets the face, ask for nothing.
 */
export function* holderReach(
  contact: ContactMesh,
  cutter: CutterSetting,
  grid: DropGrid,
  tip: Float64Array,
): Steps<HolderReach> {
  const holder = { diameter_mm: Math.max(cutter.holderDiameter_mm, cutter.diameter_mm), cornerRadius_mm: 0 }
  const disc = yield* dropCutter(contact, holder, grid)
  let needed = 0
  let where = -1
  let touches = 0
  for (let k = 0; k < tip.length; k++) {
    if (tip[k] === -Infinity) continue
    const out = disc[k]! - tip[k]!
    if (out > needed) {
      needed = out
      where = k
    }
    if (out > cutter.stickOut_mm) {
      touches++
      tip[k] = disc[k]! - cutter.stickOut_mm
    }
  }
  const hy = grid.hy ?? grid.h
  return {
    needed_mm: needed,
    at:
      where < 0
        ? null
        : [grid.x0 + (where % grid.nx) * grid.h, grid.y0 + Math.floor(where / grid.nx) * hy, tip[where]!],
    touches_mm2: touches * grid.h * hy,
  }
}

/** Some of the samples; normals stay shared. */
function only(samples: SurfaceSamples, which: Uint32Array): SurfaceSamples {
  const count = which.length
  const place = new Float64Array(3 * count)
  const facet = new Uint32Array(count)
  const area_mm2 = new Float64Array(count)
  for (let s = 0; s < count; s++) {
    const from = which[s]!
    for (let k = 0; k < 3; k++) place[3 * s + k] = samples.place[3 * from + k]!
    facet[s] = samples.facet[from]!
    area_mm2[s] = samples.area_mm2[from]!
  }
  return { count, place, normal: samples.normal, facet, area_mm2 }
}
