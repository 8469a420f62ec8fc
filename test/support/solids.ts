/**
 * Solids whose answers are known on paper, for tests of every step. Millimetres, outward facets, closed unless said
 * otherwise, in job axes unless moved with `inAxes`. Coordinates are rounded once to Float32.
 */
import type { Axes, Matrix4, Point } from '../../src/core/geometry/axes'
import { type Mesh, makeMesh, transformMesh } from '../../src/core/geometry/mesh'

type Triple = readonly [number, number, number]

/** Collects vertices and facets. */
export class Builder {
  readonly points: number[] = []
  readonly facets: number[] = []
  vertex(x: number, y: number, z: number): number {
    this.points.push(x, y, z)
    return this.points.length / 3 - 1
  }
  facet(a: number, b: number, c: number): void {
    this.facets.push(a, b, c)
  }
  quad(a: number, b: number, c: number, d: number): void {
    this.facets.push(a, b, c, a, c, d)
  }
  mesh(): Mesh<'job'> {
    return makeMesh('job', Float32Array.from(this.points), Uint32Array.from(this.facets))
  }
}

/** Box from `min` to `max`: 8 vertices, 12 facets. */
export function box(min: Triple, max: Triple): Mesh<'job'> {
  const b = new Builder()
  for (let i = 0; i < 8; i++) b.vertex(i & 1 ? max[0] : min[0], i & 2 ? max[1] : min[1], i & 4 ? max[2] : min[2])
  b.quad(0, 2, 3, 1) // bottom
  b.quad(4, 5, 7, 6) // top: its first facet is number 2
  b.quad(0, 1, 5, 4)
  b.quad(2, 6, 7, 3)
  b.quad(0, 4, 6, 2)
  b.quad(1, 3, 7, 5)
  return b.mesh()
}

/** The corner tetrahedron 0, x, y, z of size `s`. Volume s³/6. */
export function tetrahedron(s = 1): Mesh<'job'> {
  const b = new Builder()
  b.vertex(0, 0, 0)
  b.vertex(s, 0, 0)
  b.vertex(0, s, 0)
  b.vertex(0, 0, s)
  b.facet(0, 2, 1)
  b.facet(0, 1, 3)
  b.facet(0, 3, 2)
  b.facet(1, 2, 3)
  return b.mesh()
}

/** Standard golden-ratio icosahedron, midpoints pushed to the sphere `levels` times: 20 x 4^levels facets. */
export function icosphere(radius: number, levels: number, middle: Triple = [0, 0, 0]): Mesh<'job'> {
  const g = (1 + Math.sqrt(5)) / 2
  const points: number[][] = []
  for (const [x, y, z] of [
    [-1, g, 0],
    [1, g, 0],
    [-1, -g, 0],
    [1, -g, 0],
    [0, -1, g],
    [0, 1, g],
    [0, -1, -g],
    [0, 1, -g],
    [g, 0, -1],
    [g, 0, 1],
    [-g, 0, -1],
    [-g, 0, 1],
  ] as Triple[]) {
    const n = Math.sqrt(x * x + y * y + z * z)
    points.push([x / n, y / n, z / n])
  }
  let facets = [
    0, 11, 5, 0, 5, 1, 0, 1, 7, 0, 7, 10, 0, 10, 11, 1, 5, 9, 5, 11, 4, 11, 10, 2, 10, 7, 6, 7, 1, 8, 3, 9, 4, 3, 4, 2,
    3, 2, 6, 3, 6, 8, 3, 8, 9, 4, 9, 5, 2, 4, 11, 6, 2, 10, 8, 6, 7, 9, 8, 1,
  ]
  for (let level = 0; level < levels; level++) {
    const known = new Map<number, number>()
    const between = (a: number, b: number) => {
      const key = Math.min(a, b) * 67108864 + Math.max(a, b)
      let v = known.get(key)
      if (v === undefined) {
        const p = points[a]!
        const q = points[b]!
        const m = [p[0]! + q[0]!, p[1]! + q[1]!, p[2]! + q[2]!]
        const n = Math.sqrt(m[0]! * m[0]! + m[1]! * m[1]! + m[2]! * m[2]!)
        v = points.push(m.map((c) => c / n)) - 1
        known.set(key, v)
      }
      return v
    }
    const finer: number[] = []
    for (let f = 0; f < facets.length; f += 3) {
      const [a, b, c] = facets.slice(f, f + 3) as [number, number, number]
      const ab = between(a, b)
      const bc = between(b, c)
      const ca = between(c, a)
      finer.push(a, ab, ca, b, bc, ab, c, ca, bc, ab, bc, ca)
    }
    facets = finer
  }
  const positions = new Float32Array(points.length * 3)
  points.forEach((p, i) => {
    for (let k = 0; k < 3; k++) positions[i * 3 + k] = middle[k]! + radius * p[k]!
  })
  return makeMesh('job', positions, Uint32Array.from(facets))
}

/**
 * Solid of revolution about z. `profile` runs from the lowest to the highest point on the outside: pairs of radius and
 * height; radius 0 closes it in a pole, otherwise a flat cap (with a middle vertex) closes it unless `open`.
 */
export function lathe(
  profile: readonly (readonly [number, number])[],
  n: number,
  open: { bottom?: boolean; top?: boolean } = {},
): Mesh<'job'> {
  const b = new Builder()
  const rings = profile.map(([r, z]) =>
    r === 0
      ? [b.vertex(0, 0, z)]
      : Array.from({ length: n }, (_, i) => {
          const t = (2 * Math.PI * i) / n
          return b.vertex(r * Math.cos(t), r * Math.sin(t), z)
        }),
  )
  const at = (ring: number[], i: number) => ring[i % ring.length]!
  for (let k = 0; k + 1 < rings.length; k++) {
    const low = rings[k]!
    const high = rings[k + 1]!
    for (let i = 0; i < n; i++) {
      if (low.length > 1) b.facet(at(low, i), at(low, i + 1), at(high, i))
      if (high.length > 1) b.facet(at(low, i + 1), at(high, i + 1), at(high, i))
    }
  }
  const cap = (ring: number[], z: number, up: boolean) => {
    if (ring.length === 1) return
    const m = b.vertex(0, 0, z)
    for (let i = 0; i < n; i++) up ? b.facet(at(ring, i), at(ring, i + 1), m) : b.facet(at(ring, i + 1), at(ring, i), m)
  }
  if (!open.bottom) cap(rings[0]!, profile[0]![1], false)
  if (!open.top) cap(rings.at(-1)!, profile.at(-1)![1], true)
  return b.mesh()
}

/** Frustum with its axis along z, large base `r1` at z = 0, `r2` at `h`; r2 = 0 makes a cone. n-gon inscribed. */
export const frustum = (r1: number, r2: number, h: number, n: number): Mesh<'job'> =>
  lathe(
    [
      [r1, 0],
      [r2, h],
    ],
    n,
  )

/** Open tube (no caps), axis along z from 0 to `length`: two rims. */
export const openTube = (r: number, length: number, n: number, pieces = 1): Mesh<'job'> =>
  lathe(
    Array.from({ length: pieces + 1 }, (_, i) => [r, (length * i) / pieces] as const),
    n,
    { bottom: true, top: true },
  )

/** Capsule along z: a tube of `length` between the middles of its round ends, bottom middle at the origin. */
export function capsule(r: number, length: number, n: number, rings = Math.max(2, Math.round(n / 4))): Mesh<'job'> {
  const profile: [number, number][] = []
  for (let i = 0; i <= rings; i++) {
    const t = (Math.PI / 2) * (i / rings)
    profile.push([i === 0 ? 0 : r * Math.sin(t), -r * Math.cos(t)])
  }
  for (let i = 0; i <= rings; i++) {
    const t = (Math.PI / 2) * (1 - i / rings)
    profile.push([i === rings ? 0 : r * Math.sin(t), length + r * Math.cos(t)])
  }
  return lathe(profile, n)
}

/** Upper half of a sphere without its floor: one rim, at z = 0. */
export function openHemisphere(r: number, n: number, rings = Math.round(n / 4)): Mesh<'job'> {
  const profile: [number, number][] = []
  for (let i = 0; i <= rings; i++) {
    const t = (Math.PI / 2) * (i / rings)
    profile.push([i === rings ? 0 : r * Math.cos(t), r * Math.sin(t)])
  }
  return lathe(profile, n, { bottom: true })
}

/** Torus about z: ring radius `R`, tube radius `r`; `n` steps round the ring, `m` round the tube. */
export function torus(R: number, r: number, n: number, m: number): Mesh<'job'> {
  const b = new Builder()
  for (let i = 0; i < n; i++)
    for (let j = 0; j < m; j++) {
      const u = (2 * Math.PI * i) / n
      const v = (2 * Math.PI * j) / m
      const d = R + r * Math.cos(v)
      b.vertex(d * Math.cos(u), d * Math.sin(u), r * Math.sin(v))
    }
  const at = (i: number, j: number) => (i % n) * m + (j % m)
  for (let i = 0; i < n; i++) for (let j = 0; j < m; j++) b.quad(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1))
  return b.mesh()
}

/** Straight prism along x over a polygon in y, z (counter-clockwise seen from +x), ears cut by hand: `caps` lists facets. */
export function prism(
  outline: readonly (readonly [number, number])[],
  caps: readonly Triple[],
  x0: number,
  x1: number,
): Mesh<'job'> {
  const b = new Builder()
  const n = outline.length
  for (const x of [x0, x1]) for (const [y, z] of outline) b.vertex(x, y, z)
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n
    b.quad(i, j, n + j, n + i)
  }
  for (const [p, q, r] of caps) {
    b.facet(n + p, n + q, n + r)
    b.facet(r, q, p)
  }
  return turnedOutwards(b.mesh())
}

/**
 * A block with a dovetail groove along x, open at the top: width 100, height 40, length `length`; the groove is `depth`
 * deep and `mouth` wide at the top, its walls lean outwards below by `lean_deg` from the base. Pulled along +z each wall
 * hides a strip of depth x cot(lean) of the floor.
 */
export function dovetailBlock(length = 100, depth = 10, mouth = 30, lean_deg = 60): Mesh<'job'> {
  const reach = depth / Math.tan((lean_deg * Math.PI) / 180)
  const m = mouth / 2
  const top = 40
  const floor = top - depth
  return prism(
    [
      [-50, 0],
      [50, 0],
      [50, top],
      [m, top],
      [m + reach, floor],
      [-m - reach, floor],
      [-m, top],
      [-50, top],
    ],
    [
      [0, 1, 4],
      [1, 2, 4],
      [2, 3, 4],
      [0, 4, 5],
      [0, 5, 7],
      [5, 6, 7],
    ],
    0,
    length,
  )
}

/**
 * A mushroom in one piece: base plate (r 100, z 0…10), stem (r 20, up to z 40), cap (r 50, z 40…50). Pulled along +z the
 * cap's underside faces away (π(50² − 20²)) and as much of the base lies in its shadow.
 */
export const mushroom = (n: number): Mesh<'job'> =>
  lathe(
    [
      [100, 0],
      [100, 10],
      [20, 10],
      [20, 40],
      [50, 40],
      [50, 50],
    ],
    n,
  )

/** The same as three separate closed solids that stand on one another without sharing vertices. */
export function looseMushroom(n: number): Mesh<'job'> {
  const disc = (r: number, z0: number, z1: number) =>
    lathe(
      [
        [r, z0],
        [r, z1],
      ],
      n,
    )
  return joined(disc(100, 0, 10), disc(20, 10, 40), disc(50, 40, 50))
}

/** Flat plate of nx x ny cells in the plane z = `z`, facing up, from 0,0 to `a`,`b`: open, one rim. */
export function gridPlate(
  a: number,
  b: number,
  nx: number,
  ny: number,
  z: number | ((x: number, y: number) => number) = 0,
): Mesh<'job'> {
  const build = new Builder()
  for (let j = 0; j <= ny; j++)
    for (let i = 0; i <= nx; i++) {
      const x = (a * i) / nx
      const y = (b * j) / ny
      build.vertex(x, y, typeof z === 'number' ? z : z(x, y))
    }
  const at = (i: number, j: number) => j * (nx + 1) + i
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) build.quad(at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1))
  return build.mesh()
}

/** Wedge of full angle `angle_deg` with its edge along x at the origin, `length` along each face, `width` along x. */
export function wedge(angle_deg: number, length: number, width: number): Mesh<'job'> {
  const t = (angle_deg * Math.PI) / 360
  return prism(
    [
      [0, 0],
      [length * Math.cos(t), -length * Math.sin(t)],
      [length * Math.cos(t), length * Math.sin(t)],
    ],
    [[0, 1, 2]],
    -width / 2,
    width / 2,
  )
}

/** Several meshes in one, vertices not shared. */
export function joined(...meshes: readonly Mesh[]): Mesh<'job'> {
  const b = new Builder()
  for (const mesh of meshes) {
    const first = b.points.length / 3
    for (let i = 0; i < mesh.positions.length; i++) b.points.push(mesh.positions[i]! + mesh.origin[i % 3]!)
    for (const v of mesh.indices) b.facets.push(first + v)
  }
  return b.mesh()
}

/** The mesh moved (or mirrored) by a matrix. */
export const moved = (mesh: Mesh, matrix: Matrix4): Mesh<'job'> => transformMesh(mesh, matrix, 'job')

/** The mesh without the facets that `drop` names. Unused vertices stay. */
export function without(mesh: Mesh, drop: (facet: number) => boolean): Mesh<'job'> {
  const keep: number[] = []
  for (let f = 0; f < mesh.indices.length / 3; f++)
    if (!drop(f)) keep.push(mesh.indices[f * 3]!, mesh.indices[f * 3 + 1]!, mesh.indices[f * 3 + 2]!)
  return makeMesh('job', mesh.positions.slice(), Uint32Array.from(keep), mesh.origin as Point<'job'>)
}

/** The mesh with the facets turned that `turn` names (default: all). */
export function turned(mesh: Mesh, turn: (facet: number) => boolean = () => true): Mesh<'job'> {
  const indices = mesh.indices.slice()
  for (let f = 0; f < indices.length; f += 3)
    if (turn(f / 3)) [indices[f + 1], indices[f + 2]] = [indices[f + 2]!, indices[f + 1]!]
  return makeMesh('job', mesh.positions.slice(), indices, mesh.origin as Point<'job'>)
}

/** The mesh with each vertex passed through `move`. */
export function bent(mesh: Mesh, move: (x: number, y: number, z: number) => Triple): Mesh<'job'> {
  const positions = mesh.positions.slice()
  for (let i = 0; i < positions.length; i += 3) {
    const p = move(positions[i]!, positions[i + 1]!, positions[i + 2]!)
    positions[i] = p[0]
    positions[i + 1] = p[1]
    positions[i + 2] = p[2]
  }
  return makeMesh('job', positions, mesh.indices.slice(), mesh.origin as Point<'job'>)
}

/** The same arrays under the name of other axes. */
export const inAxes = <A extends Axes>(mesh: Mesh, axes: A): Mesh<A> =>
  makeMesh<A>(axes, mesh.positions.slice(), mesh.indices.slice(), mesh.origin as Point<A>)

/** Loose corners, nine per facet, as a file would hold them. */
export function soup(mesh: Mesh): Float32Array<ArrayBuffer> {
  const out = new Float32Array(mesh.indices.length * 3)
  mesh.indices.forEach((v, i) => {
    for (let k = 0; k < 3; k++) out[i * 3 + k] = mesh.positions[v * 3 + k]! + mesh.origin[k]!
  })
  return out
}

/** Volume by signed tetrahedra in plain steps: the slow obvious method. */
export function plainVolume(mesh: Mesh): number {
  const c = soup(mesh)
  let six = 0
  for (let i = 0; i < c.length; i += 9)
    six +=
      c[i]! * (c[i + 4]! * c[i + 8]! - c[i + 5]! * c[i + 7]!) +
      c[i + 1]! * (c[i + 5]! * c[i + 6]! - c[i + 3]! * c[i + 8]!) +
      c[i + 2]! * (c[i + 3]! * c[i + 7]! - c[i + 4]! * c[i + 6]!)
  return six / 6
}

const turnedOutwards = (mesh: Mesh<'job'>): Mesh<'job'> => (plainVolume(mesh) < 0 ? turned(mesh) : mesh)
