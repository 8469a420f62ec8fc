import { type Primitive, welded } from './primitives'

/** Bodies welded together: the distance field the scan is taken from. Job axes, mm. */
export interface Solid {
  readonly primitives: readonly Primitive[]
  /** Radius of the weld in every corner between two bodies, mm. */
  readonly weld_mm: number
}

/** Signed distance (negative inside) over the bodies given: all of the solid, or those near the place. */
export function distanceOver(bodies: readonly Primitive[], weld_mm: number, x: number, y: number, z: number): number {
  let sum = Infinity
  for (let i = 0; i < bodies.length; i++) sum = welded(sum, bodies[i]!.distance(x, y, z), weld_mm)
  return sum
}

/** Signed distance from the whole solid; slow and plain, for tests and single points. */
export const distanceTo = (solid: Solid, x: number, y: number, z: number): number =>
  distanceOver(solid.primitives, solid.weld_mm, x, y, z)

/** Those bodies that can come within `reach` of a ball, or weld to something there. */
export function bodiesNear(
  bodies: readonly Primitive[],
  weld_mm: number,
  x: number,
  y: number,
  z: number,
  reach: number,
): Primitive[] {
  return bodies.filter((body) => body.distance(x, y, z) < reach + weld_mm)
}

export interface FieldProbe {
  /** mm, negative inside. Right within 12 mm of the surface. */
  distance(x: number, y: number, z: number): number
  /** Moves the point (three numbers at `at`) on to the surface, and writes the outward unit normal there. */
  settle(points: Float64Array, at: number, normal: Float64Array): void
}

const CELL = 32

/** A field for many single points: remembers which bodies are near each 32 mm cell of space. */
export function fieldProbe(solid: Solid): FieldProbe {
  const { weld_mm } = solid
  const cells = new Map<number, Primitive[]>()
  const near = (x: number, y: number, z: number): Primitive[] => {
    const [i, j, k] = [Math.floor(x / CELL), Math.floor(y / CELL), Math.floor(z / CELL)]
    const key = i + 4096 + 8192 * (j + 4096 + 8192 * (k + 4096))
    let bodies = cells.get(key)
    if (!bodies) {
      const middle = [(i + 0.5) * CELL, (j + 0.5) * CELL, (k + 0.5) * CELL] as const
      bodies = bodiesNear(solid.primitives, weld_mm, ...middle, CELL * 0.867 + 12)
      cells.set(key, bodies)
    }
    return bodies
  }
  const distance = (x: number, y: number, z: number): number => distanceOver(near(x, y, z), weld_mm, x, y, z)
  return {
    distance,
    settle(points, at, normal) {
      let x = points[at]!
      let y = points[at + 1]!
      let z = points[at + 2]!
      const e = 0.01
      let [gx, gy, gz] = [0, 0, 1]
      for (let round = 0; round < 6; round++) {
        const bodies = near(x, y, z)
        const f = distanceOver(bodies, weld_mm, x, y, z)
        gx = distanceOver(bodies, weld_mm, x + e, y, z) - distanceOver(bodies, weld_mm, x - e, y, z)
        gy = distanceOver(bodies, weld_mm, x, y + e, z) - distanceOver(bodies, weld_mm, x, y - e, z)
        gz = distanceOver(bodies, weld_mm, x, y, z + e) - distanceOver(bodies, weld_mm, x, y, z - e)
        const square = gx * gx + gy * gy + gz * gz
        // On a crease between two bodies the slope can vanish; such a point stays where it is.
        if (square < 1e-12 || !(f * f > 1e-10)) break
        // Not further than 3 mm at once: across a thin plate a longer step would land on its other face.
        const step = Math.max(-3, Math.min(3, (f * 2 * e) / Math.sqrt(square))) / Math.sqrt(square)
        x -= gx * step
        y -= gy * step
        z -= gz * step
      }
      const length = Math.sqrt(gx * gx + gy * gy + gz * gz) || 1
      points[at] = x
      points[at + 1] = y
      points[at + 2] = z
      normal[0] = gx / length
      normal[1] = gy / length
      normal[2] = gz / length
    },
  }
}
