/** Faces of any number of corners, as OBJ and PLY have them, turned into triangles. */
import earcut from 'earcut'
import { BLOCK, type Steps } from '../geometry/kernel'

export interface Polygons {
  /** Vertex numbers of all faces, one after the other. */
  readonly corners: Uint32Array
  /** How many corners each face has; `null`: all are triangles. */
  readonly sizes: Uint32Array | null
}

/**
 * Triangles of all faces, in order: n − 2 for n corners. A fan is wrong for faces with dents, so ears are clipped in the
 * plane of the face (normal by M. E. Newell's sum over the sides). Faces with less than three corners are counted.
 *
 * @param points three per vertex; corners beyond them are passed on in a fan, for the checks that come after
 */
export function* triangles(
  { corners, sizes }: Polygons,
  points: Float64Array | Float32Array,
): Steps<{ indices: Uint32Array; tooFew: number }> {
  if (!sizes) return { indices: corners, tooFew: 0 }
  let total = 0
  let tooFew = 0
  for (const n of sizes) {
    if (n < 3) tooFew++
    else total += n - 2
  }
  const indices = new Uint32Array(total * 3)
  let out = 0
  let at = 0
  for (let f = 0; f < sizes.length; f++) {
    const n = sizes[f]!
    if (n === 3) {
      indices[out++] = corners[at]!
      indices[out++] = corners[at + 1]!
      indices[out++] = corners[at + 2]!
    } else if (n > 3) {
      const face = corners.subarray(at, at + n)
      // Clipping may leave corners out (collinear ones, say); a fan of degenerate facets would hide that: take what it gives.
      for (const k of n > MOST_CORNERS ? fan(n) : (clip(face, points) ?? fan(n))) {
        if (out < indices.length) indices[out++] = face[k]!
      }
    }
    at += n
    if (f % BLOCK === 0) yield f / sizes.length
  }
  return { indices: out < indices.length ? indices.slice(0, out) : indices, tooFew }
}

/** Clipping ears slows down with the square of the corners; no real face has as many. */
const MOST_CORNERS = 20_000

function fan(n: number): number[] {
  const out: number[] = []
  for (let k = 1; k + 1 < n; k++) out.push(0, k, k + 1)
  return out
}

/** Ears of one face as corner numbers, turned as the face is; `null` if the face has no plane or a corner has no place. */
function clip(face: Uint32Array, points: Float64Array | Float32Array): number[] | null {
  const n = face.length
  let nx = 0
  let ny = 0
  let nz = 0
  for (let k = 0; k < n; k++) {
    const p = face[k]! * 3
    const q = face[(k + 1) % n]! * 3
    if (p + 2 >= points.length) return null
    nx += (points[p + 1]! - points[q + 1]!) * (points[p + 2]! + points[q + 2]!)
    ny += (points[p + 2]! - points[q + 2]!) * (points[p]! + points[q]!)
    nz += (points[p]! - points[q]!) * (points[p + 1]! + points[q + 1]!)
  }
  // Looking along the largest component keeps the plane's turn and never flattens the face.
  const [ax, ay, az] = [Math.abs(nx), Math.abs(ny), Math.abs(nz)]
  const largest = Math.max(ax, ay, az)
  if (!(largest > 0) || largest === Infinity) return null
  const [u, v, sign] = ax === largest ? [1, 2, nx] : ay === largest ? [2, 0, ny] : [0, 1, nz]
  const flat = new Array<number>(n * 2)
  for (let k = 0; k < n; k++) {
    flat[k * 2] = points[face[k]! * 3 + u]!
    flat[k * 2 + 1] = points[face[k]! * 3 + v]!
  }
  if (n === 4) return quad(flat, sign)
  const ears = earcut(flat) as number[]
  if (ears.length !== (n - 2) * 3) return null
  // The library gives its ears in one turn whatever the face's: compare with the face's own.
  let area = 0
  for (let t = 0; t < ears.length; t += 3) area += cross(flat, ears[t]!, ears[t + 1]!, ears[t + 2]!)
  if (area > 0 !== sign > 0)
    for (let t = 0; t < ears.length; t += 3) {
      const keep = ears[t + 1]!
      ears[t + 1] = ears[t + 2]!
      ears[t + 2] = keep
    }
  return ears
}

/** Most faces have four corners: split along the diagonal that stays inside. */
function quad(flat: number[], sign: number): number[] {
  const s = sign > 0 ? 1 : -1
  const inside = s * cross(flat, 0, 1, 2) > 0 && s * cross(flat, 0, 2, 3) > 0
  return inside ? [0, 1, 2, 0, 2, 3] : [1, 2, 3, 1, 3, 0]
}

function cross(flat: number[], a: number, b: number, c: number): number {
  return (
    (flat[b * 2]! - flat[a * 2]!) * (flat[c * 2 + 1]! - flat[a * 2 + 1]!) -
    (flat[b * 2 + 1]! - flat[a * 2 + 1]!) * (flat[c * 2]! - flat[a * 2]!)
  )
}
