/**
 * Simple closed bodies for accessories: lofts through rings of points, turned bodies, boxes with rounded corners, bent
 * bars; and their union as one skin. Part axes while drawing: z up, mm.
 */
import initManifold from 'manifold-3d'
import { cosDeg, sinDeg } from '../core/geometry/portable-math'
import type { Vec3 } from './primitives'

export interface Body {
  readonly points: readonly Vec3[]
  /** Counter-clockwise seen from outside. */
  readonly facets: readonly (readonly [number, number, number])[]
}

/** A skin through rings of equally many points, counter-clockwise seen from the end of the loft; both ends capped. */
function loft(rings: readonly (readonly Vec3[])[]): Body {
  const n = rings[0]!.length
  const points: Vec3[] = rings.flat()
  const facets: [number, number, number][] = []
  for (let r = 0; r + 1 < rings.length; r++)
    for (let i = 0; i < n; i++) {
      const [a, b] = [r * n + i, r * n + ((i + 1) % n)]
      facets.push([a, b, b + n], [a, b + n, a + n])
    }
  const cap = (ring: readonly Vec3[], start: number, turn: boolean) => {
    const middle = [0, 1, 2].map((k) => ring.reduce((sum, p) => sum + p[k]!, 0) / n) as [number, number, number]
    const centre = points.push(middle) - 1
    for (let i = 0; i < n; i++) {
      const [a, b] = [start + i, start + ((i + 1) % n)]
      facets.push(turn ? [centre, b, a] : [centre, a, b])
    }
  }
  cap(rings[0]!, 0, true)
  cap(rings.at(-1)!, (rings.length - 1) * n, false)
  return { points, facets }
}

/** A body turned about z from its profile of (radius, z), bottom to top. */
export const turned = (profile: readonly (readonly [number, number])[], around = 72): Body =>
  loft(
    profile.map(([r, z]) =>
      Array.from({ length: around }, (_, i): Vec3 => {
        const deg = (360 * i) / around
        return [r * cosDeg(deg), r * sinDeg(deg), z]
      }),
    ),
  )

/** A rectangle with rounded corners at height z, counter-clockwise from above. */
function roundedRing(a: number, b: number, radius: number, z: number, perCorner = 8): Vec3[] {
  const corners = [
    [1, 1],
    [-1, 1],
    [-1, -1],
    [1, -1],
  ] as const
  return corners.flatMap(([sx, sy], quarter) =>
    Array.from({ length: perCorner + 1 }, (_, i): Vec3 => {
      const deg = 90 * (quarter + i / perCorner)
      return [sx * (a - radius) + radius * cosDeg(deg), sy * (b - radius) + radius * sinDeg(deg), z]
    }),
  )
}

/** A box of rounded rectangles: one level each, `[inset, z]` from the outline `2a x 2b`. */
export const roundedBox = (
  a: number,
  b: number,
  radius: number,
  levels: readonly (readonly [number, number])[],
  perCorner = 8,
): Body =>
  loft(levels.map(([inset, z]) => roundedRing(a - inset, b - inset, Math.max(0.5, radius - inset), z, perCorner)))

/** A round bar along a path that lies in the plane y = 0; the rings stand square to it. */
export function bar(path: readonly (readonly [number, number])[], radius: number, around = 32): Body {
  return loft(
    path.map(([x, z], i) => {
      const [px, pz] = path[Math.max(0, i - 1)]!
      const [qx, qz] = path[Math.min(path.length - 1, i + 1)]!
      const length = Math.sqrt((qx - px) * (qx - px) + (qz - pz) * (qz - pz))
      const [tx, tz] = [(qx - px) / length, (qz - pz) / length]
      return Array.from({ length: around }, (_, s): Vec3 => {
        const [c, d] = [radius * cosDeg((360 * s) / around), radius * sinDeg((360 * s) / around)]
        // Square to the path: y, and the path's direction turned a quarter towards it.
        return [x - tz * d, c, z + tx * d]
      })
    }),
  )
}

/** Tilted about y by an angle (nose down is positive), then moved. */
export function placed(body: Body, by: Vec3, tiltY_deg = 0): Body {
  const [c, s] = [cosDeg(tiltY_deg), sinDeg(tiltY_deg)]
  return {
    facets: body.facets,
    points: body.points.map(([x, y, z]): Vec3 => [c * x + s * z + by[0], y + by[1], -s * x + c * z + by[2]]),
  }
}

/** One closed skin round all bodies, outwards; corners to a ten-thousandth of a mm, so that every engine agrees. */
export async function united(bodies: readonly Body[]): Promise<{ positions: Float64Array; indices: Uint32Array }> {
  const manifold = await initManifold()
  manifold.setup()
  const solids = bodies.map((body) => {
    const mesh = new manifold.Mesh({
      numProp: 3,
      vertProperties: Float32Array.from(body.points.flat()),
      triVerts: Uint32Array.from(body.facets.flat()),
    })
    const solid = new manifold.Manifold(mesh)
    if (solid.volume() <= 0) throw new Error('demo: a body of an accessory is inside out')
    return solid
  })
  const whole = manifold.Manifold.union(solids)
  const { vertProperties, triVerts, numProp } = whole.getMesh()
  const positions = new Float64Array((vertProperties.length / numProp) * 3)
  for (let v = 0; v < positions.length / 3; v++)
    for (let k = 0; k < 3; k++) positions[v * 3 + k] = Math.round(vertProperties[v * numProp + k]! * 1e4) / 1e4
  const indices = Uint32Array.from(triVerts)
  for (const solid of [whole, ...solids]) solid.delete()
  return { positions, indices }
}
