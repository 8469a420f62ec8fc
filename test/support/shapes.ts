import type { Axes } from '../../src/core/geometry/axes'
import { type Mesh, makeMesh } from '../../src/core/geometry/mesh'
import { seededRandom } from '../../src/core/geometry/seeded-random'

/** Small meshes for distance tests: `job` axes, mm, outward normals. */
export const mesh = (positions: readonly number[], indices: readonly number[]): Mesh<'job'> =>
  makeMesh('job', Float32Array.from(positions), Uint32Array.from(indices))

export function box(min: readonly number[], max: readonly number[]): Mesh<'job'> {
  const p: number[] = []
  for (let i = 0; i < 8; i++) for (let k = 0; k < 3; k++) p.push(((i >> k) & 1 ? max : min)[k]!)
  const t = [0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5]
  return mesh(p, t)
}

/** A sheet over a parameter grid, closed in `u` and/or `v` where asked. */
export function sheet(
  nu: number,
  nv: number,
  closed: { u: boolean; v: boolean },
  at: (u: number, v: number) => readonly [number, number, number],
): Mesh<'job'> {
  const rows = closed.u ? nu : nu + 1
  const columns = closed.v ? nv : nv + 1
  const p: number[] = []
  for (let i = 0; i < rows; i++) for (let j = 0; j < columns; j++) p.push(...at(i / nu, j / nv))
  const t: number[] = []
  for (let i = 0; i < nu; i++)
    for (let j = 0; j < nv; j++) {
      const i1 = (i + 1) % rows
      const j1 = (j + 1) % columns
      const [a, b, c, d] = [i * columns + j, i1 * columns + j, i1 * columns + j1, i * columns + j1]
      t.push(a, b, c, a, c, d)
    }
  return mesh(p, t)
}

/** Around z, tube radius r at ring radius R; `u` runs along the ring. */
export function torus(R: number, r: number, nu: number, nv: number): Mesh<'job'> {
  return sheet(nu, nv, { u: true, v: true }, (u, v) => {
    const a = 2 * Math.PI * u
    const b = 2 * Math.PI * v
    const ring = R + r * Math.cos(b)
    return [ring * Math.cos(a), ring * Math.sin(a), r * Math.sin(b)]
  })
}

/** An open tube from x = from to x = to, with seeded noise on the radius: what a scan of a straight tube looks like. */
export function noisyTube(
  from: number,
  to: number,
  y: number,
  z: number,
  r: number,
  nu: number,
  nv: number,
  noise: number,
  seed: number,
): Mesh<'job'> {
  const random = seededRandom(seed)
  return sheet(nu, nv, { u: false, v: true }, (u, v) => {
    const a = -2 * Math.PI * v
    const rho = r + noise * (2 * random() - 1)
    return [from + (to - from) * u, y + rho * Math.cos(a), z + rho * Math.sin(a)]
  })
}

/** Several meshes as one. */
export function join(...meshes: readonly Mesh<'job'>[]): Mesh<'job'> {
  const p: number[] = []
  const t: number[] = []
  for (const m of meshes) {
    const base = p.length / 3
    for (const v of m.positions) p.push(v)
    for (const i of m.indices) t.push(i + base)
  }
  return mesh(p, t)
}

/** Loose triangles without any order: the hardest case for a search tree. */
export function soup<A extends Axes>(
  axes: A,
  n: number,
  size: number,
  edge: number,
  seed: number,
  shift: readonly [number, number, number] = [0, 0, 0],
): Mesh<A> {
  const random = seededRandom(seed)
  const p = new Float32Array(9 * n)
  for (let f = 0; f < n; f++) {
    const middle = [random() * size, random() * size, random() * size]
    for (let i = 0; i < 9; i++) p[9 * f + i] = middle[i % 3]! + (random() - 0.5) * edge + shift[i % 3]!
  }
  return makeMesh(
    axes,
    p,
    Uint32Array.from({ length: 3 * n }, (_, i) => i),
  )
}
