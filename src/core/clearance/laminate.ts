import { BLOCK, type Steps } from '../geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../geometry/mesh'
import { atan2Rad } from '../geometry/portable-math'
import type { ShellFace } from './shell'

/** Weight of the mean normal in the least squares: enough to settle flat places, too little to thin a fold. */
const TO_MEAN = 1e-3

/** In `twin`: a vertex without a mirror image, on a shell that is symmetric only in part. */
export const NO_TWIN = 0xffffffff

/**
 * Moulded face, raw face and the trim edge between them: a closed solid.
 *
 * The raw face has the moulded face's facets turned, each vertex moved by the d with n·d = thickness for every facet around
 * it, in least squares weighted by the facet's angle there and held faintly to the mean normal. Plain vertex normals would
 * thin the laminate at every fold (by cos of half the fold's angle).
 *
 * @param facing the way the moulded face looks (`up`: the trim line runs with its border; `down`: against it)
 */
export function* laminate(face: ShellFace, thickness_mm: number, facing: 'up' | 'down'): Steps<Mesh<'job'>> {
  const { mesh, twin, trim } = face
  const { positions, indices } = mesh
  const vertices = positions.length / 3
  const facets = facetCount(mesh)
  /** Per vertex: sum of w·n nᵀ (xx xy xz yy yz zz), sum of w·n (x y z), sum of w. */
  const sums = new Float64Array(10 * vertices)
  for (let f = 0; f < facets; f++) {
    addFacet(positions, indices, f, sums)
    if (f % BLOCK === BLOCK - 1) yield (0.5 * f) / facets
  }
  const solid = new Float32Array(2 * positions.length)
  solid.set(positions)
  const d = [0, 0, 0]
  for (let v = 0; v < vertices; v++) {
    const other = twin ? twin[v]! : v
    if (twin && other < v) {
      // The twin was solved; its image is taken over, so that both sides agree to the last bit.
      const o = 3 * (vertices + other)
      solid[3 * (vertices + v)] = solid[o]!
      solid[3 * (vertices + v) + 1] = -solid[o + 1]!
      solid[3 * (vertices + v) + 2] = solid[o + 2]!
      continue
    }
    solveOffset(sums, v, thickness_mm, d)
    if (twin && other === v) d[1] = 0
    for (let k = 0; k < 3; k++) solid[3 * (vertices + v) + k] = positions[3 * v + k]! - d[k]!
    if (v % BLOCK === BLOCK - 1) yield 0.5 + (0.4 * v) / vertices
  }
  const out = new Uint32Array(2 * indices.length + 6 * trim.length)
  out.set(indices)
  let at = indices.length
  for (let f = 0; f < indices.length; f += 3) {
    out[at++] = indices[f]! + vertices
    out[at++] = indices[f + 2]! + vertices
    out[at++] = indices[f + 1]! + vertices
  }
  for (let k = 0; k < trim.length; k++) {
    const p = trim[k]!
    const q = trim[(k + 1) % trim.length]!
    const [u, v] = facing === 'up' ? [p, q] : [q, p]
    // To starboard the other diagonal, so that the trim edge is its own mirror image too.
    const port = positions[3 * p + 1]! + positions[3 * q + 1]! >= 0
    if (port) out.set([v, u, u + vertices, v, u + vertices, v + vertices], at)
    else out.set([u, u + vertices, v + vertices, u, v + vertices, v], at)
    at += 6
  }
  return makeMesh('job', solid, out)
}

function addFacet(p: Float32Array, indices: Uint32Array, f: number, sums: Float64Array): void {
  const at = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!] as const
  const e = [0, 1, 2].map((k) => {
    const a = at[k]!
    const b = at[(k + 1) % 3]!
    return [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!]
  }) as [number[], number[], number[]]
  const nx = e[0][1]! * e[1][2]! - e[0][2]! * e[1][1]!
  const ny = e[0][2]! * e[1][0]! - e[0][0]! * e[1][2]!
  const nz = e[0][0]! * e[1][1]! - e[0][1]! * e[1][0]!
  const size = Math.sqrt(nx * nx + ny * ny + nz * nz)
  if (size === 0) return
  const x = nx / size
  const y = ny / size
  const z = nz / size
  for (let k = 0; k < 3; k++) {
    const u = e[k]!
    const v = e[(k + 2) % 3]!
    const dot = -(u[0]! * v[0]! + u[1]! * v[1]! + u[2]! * v[2]!)
    const w = atan2Rad(size, dot)
    const s = (10 * at[k]!) / 3
    sums[s]! += w * x * x
    sums[s + 1]! += w * x * y
    sums[s + 2]! += w * x * z
    sums[s + 3]! += w * y * y
    sums[s + 4]! += w * y * z
    sums[s + 5]! += w * z * z
    sums[s + 6]! += w * x
    sums[s + 7]! += w * y
    sums[s + 8]! += w * z
    sums[s + 9]! += w
  }
}

/** Solves (Σw nnᵀ + εW)·d = t·(Σw n + εW·mean) by cofactors. */
function solveOffset(sums: Float64Array, v: number, thickness: number, d: number[]): void {
  const s = 10 * v
  const w = sums[s + 9]! * TO_MEAN
  const mx = sums[s + 6]!
  const my = sums[s + 7]!
  const mz = sums[s + 8]!
  const m = Math.sqrt(mx * mx + my * my + mz * mz)
  const xx = sums[s]! + w
  const xy = sums[s + 1]!
  const xz = sums[s + 2]!
  const yy = sums[s + 3]! + w
  const yz = sums[s + 4]!
  const zz = sums[s + 5]! + w
  const bx = thickness * (mx + (w * mx) / m)
  const by = thickness * (my + (w * my) / m)
  const bz = thickness * (mz + (w * mz) / m)
  const c00 = yy * zz - yz * yz
  const c01 = xz * yz - xy * zz
  const c02 = xy * yz - xz * yy
  const det = xx * c00 + xy * c01 + xz * c02
  const c11 = xx * zz - xz * xz
  const c12 = xy * xz - xx * yz
  const c22 = xx * yy - xy * xy
  d[0] = (c00 * bx + c01 * by + c02 * bz) / det
  d[1] = (c01 * bx + c11 * by + c12 * bz) / det
  d[2] = (c02 * bx + c12 * by + c22 * bz) / det
}
