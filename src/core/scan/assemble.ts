/**
 * From what readers give to one clean indexed mesh in millimetres: scaled, moved to a local origin, welded, rid of facets
 * that cannot be used (each counted by its cause), sorted in space.
 */
import type { Axes, Point } from '../geometry/axes'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { type Mesh, makeMesh } from '../geometry/mesh'
import { spatialOrder } from '../geometry/spatial-order'
import { weldPoints } from '../geometry/weld'
import { addRejected, NONE_REJECTED, type RawMesh } from './raw-mesh'
import type { Rejected } from './types'

export interface Part {
  readonly raw: RawMesh
  readonly mmPerUnit: number
}

export interface Assembled<A extends Axes> {
  /** Without facets if none could be used: the caller refuses. */
  readonly mesh: Mesh<A>
  readonly welded: number
  readonly rejected: Rejected
}

export interface Box {
  readonly min: readonly [number, number, number]
  readonly max: readonly [number, number, number]
}

/** Box of the points that facets use, in the file's unit; points that are not finite are passed over. */
export function* boxOf(raw: RawMesh): Steps<Box> {
  const { points, indices } = raw
  const count = indices ? indices.length : points.length / 3
  const vertices = points.length / 3
  let x0 = Infinity
  let y0 = Infinity
  let z0 = Infinity
  let x1 = -Infinity
  let y1 = -Infinity
  let z1 = -Infinity
  for (let from = 0; from < count; from += BLOCK * 8) {
    const to = Math.min(count, from + BLOCK * 8)
    for (let i = from; i < to; i++) {
      const v = indices ? indices[i]! : i
      if (v >= vertices) continue
      const x = points[v * 3]!
      const y = points[v * 3 + 1]!
      const z = points[v * 3 + 2]!
      if (!isPlace(x, y, z)) continue
      if (x < x0) x0 = x
      if (x > x1) x1 = x
      if (y < y0) y0 = y
      if (y > y1) y1 = y
      if (z < z0) z0 = z
      if (z > z1) z1 = z
    }
    yield to / count
  }
  return { min: [x0, y0, z0], max: [x1, y1, z1] }
}

/** Longest side; 0 for an empty box. */
export const longestSide = ({ min, max }: Box): number => Math.max(0, max[0] - min[0], max[1] - min[1], max[2] - min[2])

/** Beyond this nothing is a place: squares of it still fit into a Float32. NaN fails as well. */
const FAR = 1e15
const isPlace = (x: number, y: number, z: number): boolean =>
  x > -FAR && x < FAR && y > -FAR && y < FAR && z > -FAR && z < FAR

/**
 * @param parts with axes in common; their points are overwritten where that saves memory
 * @param box   around all parts, mm
 */
export function* assemble<A extends Axes>(parts: readonly Part[], box: Box, axes: A): Steps<Assembled<A>> {
  const origin = localOrigin<A>(box)
  const { local, indices, rejected: before } = yield* within(0, 0.15, 'scale', scaled(parts, origin))
  const { positions, vertexOf } = yield* within(0.15, 0.55, 'weld', weldPoints(local))
  const clean = yield* within(0.55, 0.7, 'facets', usableFacets(positions, vertexOf, indices))
  const sorted = yield* within(0.7, 0.95, 'spatial order', spatialOrder(clean.positions, clean.indices))
  const unique = yield* withoutDuplicates(sorted.indices)
  const rejected = addRejected(addRejected(before, clean.rejected), { duplicate: unique.duplicates })
  const mesh = makeMesh<A>(axes, sorted.positions, unique.indices, origin)
  // Corners that were given as one and the same vertex already are not counted as welded.
  return { mesh, welded: local.length / 3 - positions.length / 3, rejected }
}

/**
 * Zero unless the part lies far away for its size, where Float32 would lose the digits that matter; then the middle of the
 * box in whole millimetres. (A part near zero keeps its numbers as they stand in the file.)
 */
function localOrigin<A extends Axes>({ min, max }: Box): Point<A> {
  const farthest = Math.max(...[...min, ...max].map((v) => Math.abs(v)))
  if (!(farthest > 4096 && farthest > 4 * longestSide({ min, max })) || !Number.isFinite(farthest)) return [0, 0, 0]
  return [0, 1, 2].map((k) => Math.round((min[k]! + max[k]!) / 2)) as unknown as Point<A>
}

function* scaled(parts: readonly Part[], origin: Point) {
  let total = 0
  let corners = 0
  let rejected = NONE_REJECTED
  for (const { raw } of parts) {
    total += raw.points.length
    corners += raw.indices ? raw.indices.length : raw.points.length / 3
    rejected = addRejected(rejected, raw.rejected)
  }
  const only = parts.length === 1 ? parts[0]!.raw : null
  const local = only && only.points instanceof Float32Array ? only.points : new Float32Array(total)
  // Loose corners of a single file need no index of their own before the weld gives one.
  const indices = only && !only.indices ? null : new Uint32Array(corners)
  let p = 0
  let q = 0
  for (const { raw, mmPerUnit } of parts) {
    const { points } = raw
    const first = p / 3
    const untouched = points === local && mmPerUnit === 1 && origin.every((v) => v === 0)
    if (untouched) p = points.length
    for (let from = 0; from < points.length && !untouched; from += BLOCK * 24) {
      const to = Math.min(points.length, from + BLOCK * 24)
      for (let i = from; i < to; i += 3) {
        local[p++] = points[i]! * mmPerUnit - origin[0]
        local[p++] = points[i + 1]! * mmPerUnit - origin[1]
        local[p++] = points[i + 2]! * mmPerUnit - origin[2]
      }
      yield p / total
    }
    if (!indices) continue
    const count = points.length / 3
    if (raw.indices) for (const v of raw.indices) indices[q++] = v < count ? first + v : NOWHERE
    else for (let v = 0; v < count; v++) indices[q++] = first + v
  }
  return { local, indices, rejected }
}

const NOWHERE = 0xffffffff

/** Drops facets with bad indices, without a place, or without area; then vertices that nobody uses. */
function* usableFacets(
  positions: Float32Array,
  vertexOf: Uint32Array,
  indices: Uint32Array | null,
): Steps<{ positions: Float32Array; indices: Uint32Array; rejected: Partial<Rejected> }> {
  const corners = indices ?? vertexOf
  const facets = Math.floor(corners.length / 3)
  const points = vertexOf.length
  // Overwritten in place: what is kept never lies behind what is read.
  const kept = corners
  const used = new Uint8Array(positions.length / 3)
  let out = 0
  let notFinite = 0
  let zeroArea = 0
  let badIndex = 0
  for (let from = 0; from < facets; from += BLOCK * 2) {
    const to = Math.min(facets, from + BLOCK * 2)
    for (let f = from; f < to; f++) {
      let a = corners[f * 3]!
      let b = corners[f * 3 + 1]!
      let c = corners[f * 3 + 2]!
      if (indices) {
        if (a >= points || b >= points || c >= points) {
          badIndex++
          continue
        }
        a = vertexOf[a]!
        b = vertexOf[b]!
        c = vertexOf[c]!
      }
      const i = a * 3
      const j = b * 3
      const k = c * 3
      if (
        !isPlace(positions[i]!, positions[i + 1]!, positions[i + 2]!) ||
        !isPlace(positions[j]!, positions[j + 1]!, positions[j + 2]!) ||
        !isPlace(positions[k]!, positions[k + 1]!, positions[k + 2]!)
      ) {
        notFinite++
        continue
      }
      const ux = positions[j]! - positions[i]!
      const uy = positions[j + 1]! - positions[i + 1]!
      const uz = positions[j + 2]! - positions[i + 2]!
      const vx = positions[k]! - positions[i]!
      const vy = positions[k + 1]! - positions[i + 1]!
      const vz = positions[k + 2]! - positions[i + 2]!
      const nx = uy * vz - uz * vy
      const ny = uz * vx - ux * vz
      const nz = ux * vy - uy * vx
      if (a === b || b === c || c === a || !(nx * nx + ny * ny + nz * nz > 0)) {
        zeroArea++
        continue
      }
      kept[out] = a
      kept[out + 1] = b
      kept[out + 2] = c
      out += 3
      used[a] = used[b] = used[c] = 1
    }
    yield to / facets
  }
  const list = out === kept.length ? kept : kept.slice(0, out)
  let vertices = 0
  const place = new Uint32Array(used.length)
  for (let v = 0; v < used.length; v++) if (used[v]) place[v] = vertices++
  const rejected = { notFinite, zeroArea, badIndex }
  if (vertices === used.length) return { positions, indices: list, rejected }
  const packed = new Float32Array(vertices * 3)
  for (let v = 0; v < used.length; v++) if (used[v]) packed.set(positions.subarray(v * 3, v * 3 + 3), place[v]! * 3)
  for (let i = 0; i < list.length; i++) list[i] = place[list[i]!]!
  return { positions: packed, indices: list, rejected }
}

/**
 * Drops facets that name the same three vertices in the same turn as an earlier one. Facets come sorted by their lowest
 * vertex, so equal ones stand close together. (The same three vertices turned the other way are the back of a sheet.)
 */
function* withoutDuplicates(indices: Uint32Array): Steps<{ indices: Uint32Array; duplicates: number }> {
  const facets = indices.length / 3
  let out = 0 // facets kept, moved to the front
  let groupStart = 0 // first kept facet with the current lowest vertex
  let lowest = -1
  let names: Set<number> | null = null
  for (let f = 0; f < facets; f++) {
    const a = indices[f * 3]!
    const b = indices[f * 3 + 1]!
    const c = indices[f * 3 + 2]!
    const low = Math.min(a, b, c)
    // Turned so that the lowest comes first: low, second, third.
    const second = low === a ? b : low === b ? c : a
    const third = low === a ? c : low === b ? a : b
    if (low !== lowest) {
      lowest = low
      groupStart = out
      names = null
    }
    let known = false
    if (out - groupStart > 24) {
      // A hub with many facets: a set instead of comparing all pairs.
      names ??= namesOf(indices, groupStart, out, low)
      const name = second * 4294967296 + third
      known = names.has(name)
      names.add(name)
    } else
      for (let g = groupStart; g < out && !known; g++) {
        const p = indices[g * 3]!
        const q = indices[g * 3 + 1]!
        const r = indices[g * 3 + 2]!
        known = (p === low ? q : q === low ? r : p) === second && (p === low ? r : q === low ? p : q) === third
      }
    if (known) continue
    if (out < f) {
      indices[out * 3] = a
      indices[out * 3 + 1] = b
      indices[out * 3 + 2] = c
    }
    out++
    if (f % (BLOCK * 4) === 0) yield 0.95 + (0.05 * f) / facets
  }
  return { indices: out < facets ? indices.slice(0, out * 3) : indices, duplicates: facets - out }
}

function namesOf(indices: Uint32Array, from: number, to: number, low: number): Set<number> {
  const names = new Set<number>()
  for (let g = from; g < to; g++) {
    const p = indices[g * 3]!
    const q = indices[g * 3 + 1]!
    const r = indices[g * 3 + 2]!
    names.add((p === low ? q : q === low ? r : p) * 4294967296 + (p === low ? r : q === low ? p : q))
  }
  return names
}
