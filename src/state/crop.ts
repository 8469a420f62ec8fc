/**
 * Cropping what does not belong to the frame: a plane or a box, told in the axes of the drawing, looked at before it becomes
 * a repair of the job.
 */
import { IDENTITY, type Matrix4, type Point, transformDirection } from '../core/geometry/axes'
import { bounds, facetMiddle, type Mesh } from '../core/geometry/mesh'
import type { Repair } from '../core/scan/types'
import { addRepair, tryEdit } from './edit'
import type { Stores } from './stores'

/** What a plane takes away: all that lies to this side of it. */
export type CropSide = 'below' | 'above' | 'aft' | 'forward' | 'starboard' | 'port'

export type Crop =
  | { readonly kind: 'side'; readonly side: CropSide; readonly at_mm: number }
  | { readonly kind: 'box'; readonly min: Point; readonly max: Point }

/** Axis of the drawing, and +1 where larger values go. */
const SIDES: { readonly [S in CropSide]: readonly [axis: 0 | 1 | 2, sign: 1 | -1] } = {
  below: [2, -1],
  above: [2, 1],
  aft: [0, -1],
  forward: [0, 1],
  starboard: [1, -1],
  port: [1, 1],
}

/** The metal as drawn, and the way from the scan's axes to the drawing's. */
function drawnMetal({ results }: Stores): { mesh: Mesh; motion: Matrix4 } | null {
  const { scan, datum } = results.getState().steps
  if (datum.result) return { mesh: datum.result.mesh, motion: datum.result.motion }
  return scan.result && { mesh: scan.result.mesh, motion: IDENTITY }
}

/** Begins with what is drawn: a plane at the end of the metal, a box about all of it, so that nothing goes yet. */
export function startCrop(stores: Stores, kind: Crop['kind']): void {
  const metal = drawnMetal(stores)
  if (!metal) return
  const { min, max } = bounds(metal.mesh)
  const low = min.map(Math.floor) as [number, number, number]
  const high = max.map(Math.ceil) as [number, number, number]
  stores.session.setState({
    crop: kind === 'box' ? { kind, min: low, max: high } : { kind: 'side', side: 'below', at_mm: low[2] },
    asked: kind === 'side' ? { for: 'crop' } : null,
    question: 'clear',
    measuring: false,
    placing: null,
  })
}

/** Another side begins at its own end of the metal. */
export function chooseSide(stores: Stores, side: CropSide): void {
  const metal = drawnMetal(stores)
  if (!metal) return
  const [axis, sign] = SIDES[side]
  const { min, max } = bounds(metal.mesh)
  const at_mm = sign < 0 ? Math.floor(min[axis]) : Math.ceil(max[axis])
  stores.session.setState({ crop: { kind: 'side', side, at_mm }, asked: { for: 'crop' } })
}

/** Brings the plane to a place of the drawing, to a tenth of a millimetre. */
export function cropThrough({ session }: Stores, at: Point): void {
  const { crop } = session.getState()
  if (crop?.kind !== 'side') return
  session.setState({ crop: { ...crop, at_mm: Math.round(at[SIDES[crop.side][0]] * 10) / 10 } })
}

export const stopCrop = ({ session }: Stores): void =>
  session.setState((s) => ({ crop: null, asked: s.asked?.for === 'crop' ? null : s.asked }))

/** Whether the crop takes a place away. */
function isCropped(crop: Crop, x: number, y: number, z: number): boolean {
  if (crop.kind === 'side') {
    const [axis, sign] = SIDES[crop.side]
    return sign * ((axis === 0 ? x : axis === 1 ? y : z) - crop.at_mm) > 0
  }
  const { min, max } = crop
  return x < min[0] || x > max[0] || y < min[1] || y > max[1] || z < min[2] || z > max[2]
}

/** How many facets would go, of how many; counted by their middles, as the repair does. */
export function cropCount(crop: Crop, mesh: Mesh): { readonly gone: number; readonly all: number } {
  const all = mesh.indices.length / 3
  let gone = 0
  for (let f = 0; f < all; f++) {
    const [x, y, z] = facetMiddle(mesh, f)
    if (isCropped(crop, x, y, z)) gone++
  }
  return { gone, all }
}

/** @param motion scan axes to the axes in which the crop is told */
export function cropRepair(crop: Crop, motion: Matrix4): Repair {
  if (crop.kind === 'box') return { kind: 'crop-box', min: crop.min, max: crop.max, motion: [...motion] }
  const [axis, sign] = SIDES[crop.side]
  const way = [0, 0, 0]
  way[axis] = sign
  const turn: Matrix4 = [
    ...[motion[0]!, motion[4]!, motion[8]!, 0, motion[1]!, motion[5]!, motion[9]!, 0],
    ...[motion[2]!, motion[6]!, motion[10]!, 0, 0, 0, 0, 1],
  ]
  const normal = transformDirection(turn, [way[0]!, way[1]!, way[2]!])
  // sign·(row·p + shift) ≤ sign·at is what stays.
  return { kind: 'crop-plane', normal, offset_mm: sign * (crop.at_mm - motion[4 * axis + 3]!) }
}

/** @returns null when it was applied, else why not */
export function applyCrop(stores: Stores): string | null {
  const { crop } = stores.session.getState()
  const metal = drawnMetal(stores)
  if (!crop || !metal) return null
  const { gone, all } = cropCount(crop, metal.mesh)
  if (gone === all) return 'This would leave nothing of the scan.'
  if (gone === 0) return 'This takes nothing away yet.'
  const fault = tryEdit(stores.jobs, addRepair(cropRepair(crop, metal.motion)))
  if (fault === null) stopCrop(stores)
  return fault
}

/** The plane's rectangle or the box's edges about the metal: six numbers per segment, axes of the drawing. */
export function cropLines(crop: Crop, mesh: Mesh): Float32Array {
  const { min, max } = bounds(mesh)
  const low = [...min]
  const high = [...max]
  if (crop.kind === 'box') {
    for (let k = 0; k < 3; k++) {
      low[k] = crop.min[k]!
      high[k] = crop.max[k]!
    }
  } else {
    const [axis] = SIDES[crop.side]
    for (let k = 0; k < 3; k++) {
      const more = 0.05 * (max[k]! - min[k]!)
      low[k] = k === axis ? crop.at_mm : min[k]! - more
      high[k] = k === axis ? crop.at_mm : max[k]! + more
    }
  }
  const corner = (c: number) => [0, 1, 2].map((k) => (c & (1 << k) ? high[k]! : low[k]!))
  const segments: number[] = []
  // A rectangle is a box without depth: each of its edges once.
  const flat = [0, 1, 2].reduce((bits, k) => (low[k] === high[k] ? bits | (1 << k) : bits), 0)
  for (let c = 0; c < 8; c++)
    for (let k = 0; k < 3; k++)
      if (!(c & (flat | (1 << k))) && !(flat & (1 << k))) segments.push(...corner(c), ...corner(c | (1 << k)))
  return Float32Array.from(segments)
}
