/**
 * How near a fastener stands to a wall of its own shell: of a recess, a chase, a pad or the skirt. Washer, socket and drill
 * want room across the axis, which no look along it tells.
 */

/** A facet is a wall where it stands this steep to the base or steeper: cosine of 60° between its normal and the axis. */
const STEEP = 0.5

/**
 * @param facets nine numbers each: distance along the axis of the fastener, and two across it, mm
 * @param from   walls are looked at between these places along the axis
 * @returns from the axis to the nearest of them, across it, mm; null: none among the facets
 */
export function wallNear(facets: Float64Array, u: number, v: number, from: number, to: number): number | null {
  let best = Infinity
  for (let f = 0; f < facets.length; f += 9) {
    if (!isWall(facets, f)) continue
    const piece = between(facets, f, from, to)
    for (let k = 0; k < piece.length; k++) {
      const [a, b] = [piece[k]!, piece[(k + 1) % piece.length]!]
      best = Math.min(best, toSegment(a[1] - u, a[2] - v, b[1] - u, b[2] - v))
    }
  }
  return best === Infinity ? null : best
}

function isWall(facets: Float64Array, f: number): boolean {
  const side = (c: number, k: number) => facets[f + 3 * c + k]! - facets[f + k]!
  const [ux, uy, uz] = [side(1, 0), side(1, 1), side(1, 2)]
  const [vx, vy, vz] = [side(2, 0), side(2, 1), side(2, 2)]
  const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx]
  const size = Math.sqrt(nx * nx + ny * ny + nz * nz)
  return size > 0 && Math.abs(nx) < STEEP * size
}

type Corner = readonly [number, number, number]

/** What of a facet lies between two places along the axis. (Sutherland and Hodgman, Communications of the ACM 17 (1974).) */
function between(facets: Float64Array, f: number, from: number, to: number): readonly Corner[] {
  const whole = [0, 3, 6].map((k): Corner => [facets[f + k]!, facets[f + k + 1]!, facets[f + k + 2]!])
  return kept(
    kept(whole, (c) => c[0] - from),
    (c) => to - c[0],
  )
}

function kept(corners: readonly Corner[], over: (c: Corner) => number): readonly Corner[] {
  return corners.flatMap((a, k) => {
    const b = corners[(k + 1) % corners.length]!
    const [da, db] = [over(a), over(b)]
    const own = da >= 0 ? [a] : []
    if (da >= 0 === db >= 0) return own
    const t = da / (da - db)
    const cut: Corner = [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])]
    return [...own, cut]
  })
}

/** From the origin to a segment of the plane. */
function toSegment(ax: number, ay: number, bx: number, by: number): number {
  const [dx, dy] = [bx - ax, by - ay]
  const size2 = dx * dx + dy * dy
  const t = size2 > 0 ? Math.min(1, Math.max(0, -(ax * dx + ay * dy) / size2)) : 0
  const [x, y] = [ax + t * dx, ay + t * dy]
  return Math.sqrt(x * x + y * y)
}
