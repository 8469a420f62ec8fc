import type { Steps } from '../geometry/kernel'
import type { Mesh } from '../geometry/mesh'
import { closestOnTriangle } from '../geometry/point-triangle'
import { square } from '../geometry/portable-math'
import { type CoverPoints, facetWithinCover } from './cover-points'
import { EDGE_CORNER, TRIANGLES } from './cube-loops'
import type { BitGrid } from './grown-body'

/** A surface at a distance from a mesh, as it comes from the grid. */
export interface Skin {
  /** About the mesh's origin, three per vertex, in double. */
  readonly positions: Float64Array
  /** Unit direction from the nearest metal, three per vertex. */
  readonly away: Float64Array
  readonly indices: Uint32Array
}

/** Numbers in a typed array that grows. */
class Growing<T extends Float64Array | Uint32Array> {
  data: T
  length = 0
  private readonly make: (n: number) => T
  constructor(make: (n: number) => T) {
    this.make = make
    this.data = make(1 << 16)
  }
  push(a: number, b: number, c: number): void {
    if (this.length + 3 > this.data.length) {
      const wider = this.make(2 * this.data.length)
      wider.set(this.data)
      this.data = wider
    }
    this.data[this.length++] = a
    this.data[this.length++] = b
    this.data[this.length++] = c
  }
  done(): T {
    return this.data.slice(0, this.length) as T
  }
}

/** A crossing is exact when no facet is nearer than the distance less this, mm. */
const EXACT = 1e-6

/** Marching cubes over the bits; each crossing of an edge is solved exactly once. */
export function* contour(cover: CoverPoints, grid: BitGrid, solid: Uint32Array, d: number): Steps<Skin> {
  const { nx, ny, nz, words, x0, y0, z0, h, bits } = grid
  const positions = new Growing((n) => new Float64Array(n))
  const away = new Growing((n) => new Float64Array(n))
  const indices = new Growing((n) => new Uint32Array(n))
  const solver = new Crossing(cover, d)
  // Vertex numbers (plus 1) on the edges of two planes of nodes: along x between them, along y and z in each. Only what was
  // written is wiped when the planes move on.
  const plane = ny * nz
  const alongX = new Uint32Array(plane)
  let alongY = [new Uint32Array(plane), new Uint32Array(plane)] as const
  let alongZ = [new Uint32Array(plane), new Uint32Array(plane)] as const
  const corner = (i: number, j: number, k: number) => (solid[(i * ny + j) * words + (k >> 5)]! >>> (k & 31)) & 1
  const grown = (i: number, j: number, k: number) => (bits[(i * ny + j) * words + (k >> 5)]! >>> (k & 31)) & 1
  const touchedX: number[] = []
  let touched = [[], []] as [number[], number[]]
  const vertex = (i: number, j: number, k: number, e: number): number => {
    const c = EDGE_CORNER[e]!
    const dx = c & 1
    const jj = j + ((c >> 1) & 1)
    const kk = k + (c >> 2)
    const axis = e >> 2
    const map = axis === 0 ? alongX : axis === 1 ? alongY[dx as 0 | 1] : alongZ[dx as 0 | 1]
    const at = jj * nz + kk
    const known = map[at]!
    if (known > 0) return known - 1
    const ii = i + dx
    const ax = x0 + ii * h
    const ay = y0 + jj * h
    const az = z0 + kk * h
    const bx = axis === 0 ? ax + h : ax
    const by = axis === 1 ? ay + h : ay
    const bz = axis === 2 ? az + h : az
    // From the end that is within the distance to the end that is not.
    if (grown(ii, jj, kk)) solver.solve(ax, ay, az, bx, by, bz)
    else solver.solve(bx, by, bz, ax, ay, az)
    positions.push(solver.x, solver.y, solver.z)
    away.push(solver.nx, solver.ny, solver.nz)
    map[at] = positions.length / 3
    ;(axis === 0 ? touchedX : touched[dx as 0 | 1]).push(at)
    return positions.length / 3 - 1
  }
  for (let i = 0; i + 1 < nx; i++) {
    for (let j = 0; j + 1 < ny; j++) {
      const c00 = (i * ny + j) * words
      const c10 = c00 + ny * words
      const c01 = c00 + words
      const c11 = c10 + words
      for (let w = 0; w < words; w++) {
        const any = solid[c00 + w]! | solid[c10 + w]! | solid[c01 + w]! | solid[c11 + w]!
        const all = solid[c00 + w]! & solid[c10 + w]! & solid[c01 + w]! & solid[c11 + w]!
        const more = w + 1 < words
        const anyNext = more ? solid[c00 + w + 1]! | solid[c10 + w + 1]! | solid[c01 + w + 1]! | solid[c11 + w + 1]! : 0
        const allNext = more ? solid[c00 + w + 1]! & solid[c10 + w + 1]! & solid[c01 + w + 1]! & solid[c11 + w + 1]! : 0
        // Cells whose eight corners are not all alike.
        let mixed = (any | ((any >>> 1) | (anyNext << 31))) & ~(all & ((all >>> 1) | (allNext << 31)))
        while (mixed !== 0) {
          const bit = 31 - Math.clz32(mixed & -mixed)
          mixed &= mixed - 1
          const k = 32 * w + bit
          if (k + 1 >= nz) break
          let arrangement = 0
          for (let c = 0; c < 8; c++) arrangement |= corner(i + (c & 1), j + ((c >> 1) & 1), k + (c >> 2)) << c
          const triangles = TRIANGLES[arrangement]!
          for (let t = 0; t < triangles.length; t += 3)
            indices.push(
              vertex(i, j, k, triangles[t]!),
              vertex(i, j, k, triangles[t + 1]!),
              vertex(i, j, k, triangles[t + 2]!),
            )
        }
      }
      if (j % 16 === 0) yield (i + j / ny) / nx
    }
    for (const at of touchedX) alongX[at] = 0
    touchedX.length = 0
    for (const at of touched[0]) {
      alongY[0][at] = 0
      alongZ[0][at] = 0
    }
    touched[0].length = 0
    touched = [touched[1], touched[0]]
    alongY = [alongY[1], alongY[0]]
    alongZ = [alongZ[1], alongZ[0]]
  }
  return { positions: positions.done(), away: away.done(), indices: indices.done() }
}

/** Finds where a segment leaves the grown body. */
class Crossing {
  readonly cover: CoverPoints
  readonly d: number
  readonly recent = new Int32Array(8).fill(-1)
  x = 0.5
  y = 0.5
  z = 0.5
  nx = 0.5
  ny = 0.5
  nz = 0.5
  readonly foot = new Float64Array(5)
  constructor(cover: CoverPoints, d: number) {
    this.cover = cover
    this.d = d
  }

  /**
   * From a (within the distance of some facet) to b (not). The grown facet that holds a is convex, so it is left once; if the
   * place of leaving lies in another grown facet, that one is left further on; until none holds it.
   */
  solve(ax: number, ay: number, az: number, bx: number, by: number, bz: number): void {
    const { d } = this
    let facet = this.holder(ax, ay, az, d + EXACT, -1)
    if (facet < 0) throw new Error('clearance: a node of the grown body is not near the mesh')
    for (let round = 0; ; round++) {
      this.leave(facet, ax, ay, az, bx, by, bz)
      const other = this.holder(this.x, this.y, this.z, d - EXACT, facet)
      if (other < 0 || other === facet || round === 200) break
      facet = other
    }
    // The last facet to be left goes to the front.
    let at = this.recent.indexOf(facet)
    if (at < 0) at = this.recent.length - 1
    this.recent.copyWithin(1, 0, at)
    this.recent[0] = facet
  }

  /** A facet nearer to a place than d, other than `but`; those that neighbouring crossings ended on are tried before the search. */
  holder(x: number, y: number, z: number, d: number, but: number): number {
    const { cover, recent, foot } = this
    for (let i = 0; i < recent.length; i++) {
      const f = recent[i]!
      if (f < 0 || f === but) continue
      closestOnFacet(cover.mesh, f, x, y, z, foot)
      if (square(x - foot[0]!) + square(y - foot[1]!) + square(z - foot[2]!) < d * d) return f
    }
    const [ox, oy, oz] = cover.mesh.origin
    return facetWithinCover(cover, x + ox, y + oy, z + oz, d, -1)
  }

  /** Newton's rule from the far end: the distance to one facet is convex along the segment, so it never overshoots. */
  leave(facet: number, ax: number, ay: number, az: number, bx: number, by: number, bz: number): void {
    const { foot, d } = this
    const ux = bx - ax
    const uy = by - ay
    const uz = bz - az
    let t = 1
    for (let i = 0; i < 40; i++) {
      const x = ax + t * ux
      const y = ay + t * uy
      const z = az + t * uz
      closestOnFacet(this.cover.mesh, facet, x, y, z, foot)
      const dx = x - foot[0]!
      const dy = y - foot[1]!
      const dz = z - foot[2]!
      const distance = Math.sqrt(dx * dx + dy * dy + dz * dz)
      this.x = x
      this.y = y
      this.z = z
      if (distance > 0) {
        this.nx = dx / distance
        this.ny = dy / distance
        this.nz = dz / distance
      }
      const slope = this.nx * ux + this.ny * uy + this.nz * uz
      const excess = distance - d
      if (Math.abs(excess) < 1e-10 * d || !(slope > 0)) return
      const next = Math.max(0, t - excess / slope)
      if (next >= t) return
      t = next
    }
  }
}

function closestOnFacet(mesh: Mesh, f: number, x: number, y: number, z: number, out: Float64Array): void {
  const { positions: p, indices } = mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  closestOnTriangle(x, y, z, p[a]!, p[a + 1]!, p[a + 2]!, p[b]!, p[b + 1]!, p[b + 2]!, p[c]!, p[c + 1]!, p[c + 2]!, out)
}
