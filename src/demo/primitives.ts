/**
 * The bodies a frame is welded from, each as a signed distance: negative inside, mm. Every one gives the true distance or
 * less, never more, so that a search may skip a block of space by the value at its middle.
 */
export type Vec3 = readonly [number, number, number]

export interface Primitive {
  readonly name: string
  distance(x: number, y: number, z: number): number
}

/** Height of a tube's axis over the plan, with its slopes. */
export interface Heights {
  at(x: number, y: number): number
  slopeX(x: number, y: number): number
  slopeY(x: number, y: number): number
}

export interface RoundedRectangle {
  readonly middle: readonly [number, number]
  readonly halfLength: number
  readonly halfWidth: number
  readonly cornerRadius: number
}

/**
 * A bent tube that closes on itself: its axis is a rounded rectangle in plan, lifted to a height that changes over the plan.
 *
 * The foot of a point on the axis is where (p - c).T = 0 with T = (u, slope along u). Shifting the point in plan by
 * u * slope * (z - height) and taking the foot in plan again has exactly that fixed point; with slopes below 0.1 two
 * rounds reach a micrometre.
 */
export function ringTube(name: string, plan: RoundedRectangle, heights: Heights, radius_mm: number): Primitive {
  const { halfLength, halfWidth, cornerRadius } = plan
  const [mx, my] = plan.middle
  const innerX = halfLength - cornerRadius
  const innerY = halfWidth - cornerRadius
  return {
    name,
    distance(x, y, z) {
      let px = x
      let py = y
      let cx = 0
      let cy = 0
      for (let round = 0; ; round++) {
        const qx = px - mx
        const qy = py - my
        const sx = qx < 0 ? -1 : 1
        const sy = qy < 0 ? -1 : 1
        const ax = qx * sx
        const ay = qy * sy
        let ux: number
        let uy: number
        if (ax > innerX && ay > innerY) {
          const dx = ax - innerX
          const dy = ay - innerY
          const length = Math.sqrt(dx * dx + dy * dy)
          cx = sx * (innerX + (dx / length) * cornerRadius)
          cy = sy * (innerY + (dy / length) * cornerRadius)
          ux = (sx * -dy) / length
          uy = (sy * dx) / length
        } else if (ay <= innerY && (ax > innerX || halfLength - ax < halfWidth - ay)) {
          cx = sx * halfLength
          cy = qy
          ux = 0
          uy = 1
        } else {
          cx = qx
          cy = sy * halfWidth
          ux = 1
          uy = 0
        }
        cx += mx
        cy += my
        if (round === 2) break
        const slope = heights.slopeX(cx, cy) * ux + heights.slopeY(cx, cy) * uy
        const shift = slope * (z - heights.at(cx, cy))
        px = x + ux * shift
        py = y + uy * shift
      }
      const dx = x - cx
      const dy = y - cy
      const dz = z - heights.at(cx, cy)
      return Math.sqrt(dx * dx + dy * dy + dz * dz) - radius_mm
    },
  }
}

/** A tube athwart at one x, from `from` to `to` in y, its axis lifted to `heights`; cut square at both ends. */
export function crossTube(
  name: string,
  x0: number,
  ends: readonly [number, number],
  heights: Heights,
  radius_mm: number,
): Primitive {
  const [from, to] = ends
  return {
    name,
    distance(x, y, z) {
      let cy = clamp(y, from, to)
      for (let round = 0; round < 2; round++)
        cy = clamp(y + heights.slopeY(x0, cy) * (z - heights.at(x0, cy)), from, to)
      const dx = x - x0
      const dy = y - cy
      const dz = z - heights.at(x0, cy)
      const side = Math.sqrt(dx * dx + dy * dy + dz * dz) - radius_mm
      return Math.max(side, from - y, y - to)
    },
  }
}

/** A straight tube, or one bowed by `bow_mm` at its middle towards `bowTo` (a unit vector across it); cut square at both ends. */
export function straightTube(
  name: string,
  from: Vec3,
  to: Vec3,
  radius_mm: number,
  bow_mm = 0,
  bowTo: Vec3 = [0, 0, 0],
): Primitive {
  const axis = [to[0] - from[0], to[1] - from[1], to[2] - from[2]] as const
  const length = Math.sqrt(axis[0] * axis[0] + axis[1] * axis[1] + axis[2] * axis[2])
  const d = [axis[0] / length, axis[1] / length, axis[2] / length] as const
  return {
    name,
    distance(x, y, z) {
      const px = x - from[0]
      const py = y - from[1]
      const pz = z - from[2]
      const along = px * d[0] + py * d[1] + pz * d[2]
      const out = px * bowTo[0] + py * bowTo[1] + pz * bowTo[2]
      let t = clamp(along, 0, length)
      if (bow_mm !== 0)
        for (let round = 0; round < 2; round++) {
          const share = t / length
          const slope = (4 * bow_mm * (1 - 2 * share)) / length
          t = clamp(along + slope * (out - 4 * bow_mm * share * (1 - share)), 0, length)
        }
      const offset = (4 * bow_mm * t * (length - t)) / (length * length)
      const dx = px - d[0] * t - bowTo[0] * offset
      const dy = py - d[1] * t - bowTo[1] * offset
      const dz = pz - d[2] * t - bowTo[2] * offset
      return Math.max(Math.sqrt(dx * dx + dy * dy + dz * dz) - radius_mm, -along, along - length)
    },
  }
}

export interface PlateShape {
  /** Middle of the thickness, at the polygon's 0,0. */
  readonly at: Vec3
  /** Unit vectors in the plate; the normal is u x v. */
  readonly u: Vec3
  readonly v: Vec3
  /** Corners in (u, v), mm, convex, counter-clockwise. */
  readonly outline: readonly (readonly [number, number])[]
  readonly thickness_mm: number
  /** Radius of its broken edges. */
  readonly edge_mm: number
}

/** A flat plate with broken edges. */
export function plate(name: string, shape: PlateShape): Primitive {
  const { at, u, v, edge_mm } = shape
  const n = cross(u, v)
  const half = shape.thickness_mm / 2 - edge_mm
  const outline = shrink(shape.outline, edge_mm)
  const count = outline.length
  const xs = outline.map((p) => p[0])
  const ys = outline.map((p) => p[1])
  return {
    name,
    distance(x, y, z) {
      const px = x - at[0]
      const py = y - at[1]
      const pz = z - at[2]
      const a = px * u[0] + py * u[1] + pz * u[2]
      const b = px * v[0] + py * v[1] + pz * v[2]
      const c = Math.abs(px * n[0] + py * n[1] + pz * n[2]) - half
      let nearest = Infinity
      let inside = true
      for (let i = 0, j = count - 1; i < count; j = i++) {
        const ex = xs[i]! - xs[j]!
        const ey = ys[i]! - ys[j]!
        const wx = a - xs[j]!
        const wy = b - ys[j]!
        if (ex * wy - ey * wx < 0) inside = false
        const t = clamp((wx * ex + wy * ey) / (ex * ex + ey * ey), 0, 1)
        const rx = wx - ex * t
        const ry = wy - ey * t
        const square = rx * rx + ry * ry
        if (square < nearest) nearest = square
      }
      const flat = (inside ? -1 : 1) * Math.sqrt(nearest)
      if (flat <= 0 || c <= 0) return Math.max(flat, c) - edge_mm
      return Math.sqrt(flat * flat + c * c) - edge_mm
    },
  }
}

/** Union of two bodies with a weld of radius `weld_mm` in the corner between them: an arc that touches both faces. */
export function welded(a: number, b: number, weld_mm: number): number {
  // The test first: a far body must change no bit, or a block that left it out would disagree with its neighbour.
  if (a >= weld_mm || b >= weld_mm) return Math.min(a, b)
  const u = weld_mm - a
  const v = weld_mm - b
  return weld_mm - Math.sqrt(u * u + v * v)
}

const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
]

const clamp = (value: number, low: number, high: number): number => (value < low ? low : Math.min(value, high))

/** A convex outline moved inwards by `by`. */
function shrink(outline: PlateShape['outline'], by: number): [number, number][] {
  const count = outline.length
  const inward = outline.map((p, i) => {
    const q = outline[(i + 1) % count]!
    const [ex, ey] = [q[0] - p[0], q[1] - p[1]]
    const length = Math.sqrt(ex * ex + ey * ey)
    return [-ey / length, ex / length] as const
  })
  return outline.map((p, i) => {
    const [a, b] = [inward[(i + count - 1) % count]!, inward[i]!]
    const share = by / (1 + a[0] * b[0] + a[1] * b[1])
    return [p[0] + (a[0] + b[0]) * share, p[1] + (a[1] + b[1]) * share]
  })
}
