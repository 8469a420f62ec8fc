/** Faces to be cut, for the tests of this folder: job axes, mm, z along the spindle. */
import type { Mesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'
import { mesh } from '../../support/shapes'

/** A height field over a rectangle, `step` apart. */
export function heightFace(
  width: number,
  depth: number,
  step: number,
  height: (x: number, y: number) => number,
): Mesh<'job'> {
  const nx = Math.round(width / step)
  const ny = Math.round(depth / step)
  const p: number[] = []
  for (let j = 0; j <= ny; j++)
    for (let i = 0; i <= nx; i++) {
      const x = (i * width) / nx - width / 2
      const y = (j * depth) / ny - depth / 2
      p.push(x, y, height(x, y))
    }
  const t: number[] = []
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const a = j * (nx + 1) + i
      const [b, c, d] = [a + 1, a + nx + 2, a + nx + 1]
      if ((i + j) % 2) t.push(a, b, c, a, c, d)
      else t.push(a, b, d, b, c, d)
    }
  return mesh(p, t)
}

/** A symmetric V along x with the angle between its sides given. */
export const groove = (angle_deg: number, half = 40, length = 60): Mesh<'job'> => {
  const h = half / Math.tan((angle_deg * Math.PI) / 360)
  const [x0, x1] = [-length, length]
  return mesh(
    [x0, -half, h, x1, -half, h, x1, 0, 0, x0, 0, 0, x0, half, h, x1, half, h],
    [0, 1, 2, 0, 2, 3, 3, 2, 5, 3, 5, 4],
  )
}

/** Three planes that meet at right angles in one inner corner at the origin, its diagonal straight up. */
export function cubeCorner(size = 60): Mesh<'job'> {
  const directions = [0, 1, 2].map((k) => {
    const a = (2 * Math.PI * k) / 3
    return [Math.sqrt(2 / 3) * Math.cos(a), Math.sqrt(2 / 3) * Math.sin(a), Math.sqrt(1 / 3)].map((v) => v * size)
  })
  const p = [0, 0, 0, ...directions.flat()]
  const t: number[] = []
  for (let k = 0; k < 3; k++) {
    const [u, v] = [directions[k]!, directions[(k + 1) % 3]!]
    p.push(u[0]! + v[0]!, u[1]! + v[1]!, u[2]! + v[2]!)
    t.push(0, 1 + k, 4 + k, 0, 4 + k, 1 + ((k + 1) % 3))
  }
  return mesh(p, t)
}

/** Crown, edge radius, wall at a draft and floor, over a rounded rectangle; with seeded noise on the heights. */
export function plugFace(step: number, noise = 0, seed = 1, size: readonly [number, number] = [520, 380]): Mesh<'job'> {
  const rand = random(seed)
  const [a, b] = [size[0] / 2 - 40, size[1] / 2 - 40]
  const [corner, edge, wall, draft] = [60, 12, 40, (3 * Math.PI) / 180]
  return heightFace(size[0], size[1], step, (x, y) => {
    const qx = Math.max(0, Math.abs(x) - a + corner)
    const qy = Math.max(0, Math.abs(y) - b + corner)
    const out = Math.sqrt(qx * qx + qy * qy) - corner // distance outside the foot of the fillet
    const crown = 60 - (x * x + y * y) / 4000
    const turned = Math.cos(draft)
    let z = crown
    if (out > -edge) {
      const d = Math.min(out + edge, edge * turned)
      z = crown - edge + Math.sqrt(Math.max(0, edge * edge - d * d))
      const beyond = out + edge - edge * turned
      if (beyond > 0) z -= Math.min(wall, beyond / Math.tan(draft))
    }
    return z + noise * rand.gaussian()
  })
}

/** Loose triangles without order, some of them upright. */
export function looseTriangles(n: number, size: number, edge: number, seed: number): Mesh<'job'> {
  const rand = random(seed)
  const p: number[] = []
  for (let f = 0; f < n; f++) {
    const m = [rand.between(-size, size), rand.between(-size, size), rand.between(-5, 5)]
    for (let c = 0; c < 3; c++) for (let k = 0; k < 3; k++) p.push(m[k]! + rand.between(-edge, edge))
    if (f % 7 === 0) {
      p[9 * f + 3] = p[9 * f]!
      p[9 * f + 4] = p[9 * f + 1]! // an upright side
    }
    if (f % 11 === 0) {
      p[9 * f + 5] = p[9 * f + 2]!
      p[9 * f + 8] = p[9 * f + 2]! // level
    }
  }
  return mesh(
    p,
    Array.from({ length: 3 * n }, (_, i) => i),
  )
}
