/**
 * Where the sheet is looked at from: a parallel projection, told by two angles, the point in the middle and the scale; or,
 * as a person who stands there sees it, a central projection from that point (`central`). Everything that is drawn over the 3D (leaders, numbers on the floor, the glass) projects with the same few lines.
 */
export type Vec3 = readonly [number, number, number]

export interface Eye {
  /** Direction from the target to the eye, degrees: 0 from forward, 90 from port, −90 from starboard. */
  readonly azimuth_deg: number
  /** 90 looks straight down, negative from below. */
  readonly elevation_deg: number
  /** What stands in the middle of the free part of the sheet, job axes, mm; in a central projection the eye itself. */
  readonly target: Vec3
  /** In a central projection: of what is a metre away from the eye. */
  readonly pxPerMm: number
  /** The eye stands at `target` and sees near things larger. */
  readonly central?: boolean
}

/** The distance at which a central projection has its scale, mm. */
const AT_MM = 1000
/** Nearer than this to the plane of the eye nothing is drawn, mm. */
export const NEAREST_MM = 40
/** Least and most of the field of view from top to bottom, degrees. */
const NARROW_DEG = 12
const WIDE_DEG = 100
/** Where a place behind the eye is drawn: on no sheet. */
const NOWHERE_PX = -1e5

/** The part of the sheet that nothing covers, CSS px from its upper left corner. */
export interface FreeBox {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
}

export interface Basis {
  readonly right: Vec3
  readonly up: Vec3
  /** From the target to the eye. */
  readonly back: Vec3
}

const RAD = Math.PI / 180

export function basisOf(eye: Pick<Eye, 'azimuth_deg' | 'elevation_deg'>): Basis {
  const a = eye.azimuth_deg * RAD
  const e = eye.elevation_deg * RAD
  const back: Vec3 = [Math.cos(e) * Math.cos(a), Math.cos(e) * Math.sin(a), Math.sin(e)]
  const right: Vec3 = [-Math.sin(a), Math.cos(a), 0]
  return { right, up: cross(back, right), back }
}

/** Sheet px, y down, and the depth towards the eye in mm (larger is nearer). */
export function project(eye: Eye, basis: Basis, free: FreeBox, p: Vec3): [number, number, number] {
  const d: Vec3 = [p[0] - eye.target[0], p[1] - eye.target[1], p[2] - eye.target[2]]
  const depth = dot(basis.back, d)
  if (eye.central && -depth < NEAREST_MM) return [NOWHERE_PX, NOWHERE_PX, depth]
  const scale = eye.central ? (eye.pxPerMm * AT_MM) / -depth : eye.pxPerMm
  return [
    free.left + free.width / 2 + dot(basis.right, d) * scale,
    free.top + free.height / 2 - dot(basis.up, d) * scale,
    depth,
  ]
}

/** Pixels to a millimetre at a place of the job. */
export function scaleAt(eye: Eye, basis: Basis, p: Vec3): number {
  if (!eye.central) return eye.pxPerMm
  const away = -dot(basis.back, [p[0] - eye.target[0], p[1] - eye.target[1], p[2] - eye.target[2]])
  return (eye.pxPerMm * AT_MM) / Math.max(away, NEAREST_MM)
}

/** What is seen at a place of the sheet lies along this line: from where, and a unit vector away from the eye. */
export function sightAt(
  eye: Eye,
  basis: Basis,
  free: FreeBox,
  x_px: number,
  y_px: number,
): { from: Vec3; along: Vec3 } {
  const { back } = basis
  if (!eye.central) {
    const through = unproject(eye, basis, free, x_px, y_px)
    return {
      from: [through[0] + back[0] * FAR_MM, through[1] + back[1] * FAR_MM, through[2] + back[2] * FAR_MM],
      along: [-back[0], -back[1], -back[2]],
    }
  }
  const r = (x_px - free.left - free.width / 2) / (eye.pxPerMm * AT_MM)
  const u = -(y_px - free.top - free.height / 2) / (eye.pxPerMm * AT_MM)
  const way = [0, 1, 2].map((k) => basis.right[k]! * r + basis.up[k]! * u - back[k]!) as unknown as Vec3
  const length = Math.sqrt(dot(way, way))
  return { from: eye.target, along: [way[0] / length, way[1] / length, way[2] / length] }
}

/** Far enough to be outside of every job, mm. */
const FAR_MM = 50_000

/** How much a central projection takes in across and from top to bottom of the free box, degrees. */
export function fieldOf({ pxPerMm }: Eye, free: FreeBox): { readonly across_deg: number; readonly high_deg: number } {
  const half = (px: number) => Math.atan(px / 2 / (pxPerMm * AT_MM)) / RAD
  return { across_deg: 2 * half(free.width), high_deg: 2 * half(free.height) }
}

/** The scale of a central projection that takes in so much from top to bottom of the free box. */
export const scaleOfField = (high_deg: number, free: FreeBox): number =>
  free.height / 2 / Math.tan((high_deg / 2) * RAD) / AT_MM

/** One who stands at `target` and looks at a bearing (0 forward, 90 starboard) and so far above the horizontal. */
export const lookingEye = (target: Vec3, bearing_deg: number, up_deg: number, pxPerMm: number): Eye => ({
  azimuth_deg: 180 - bearing_deg,
  elevation_deg: -up_deg,
  target,
  pxPerMm,
  central: true,
})

/** The head turned towards a place. */
export function turnedTo(eye: Eye, p: Vec3): Eye {
  const [x, y, z] = [p[0] - eye.target[0], p[1] - eye.target[1], p[2] - eye.target[2]]
  const bearing_deg = -Math.atan2(y, x) / RAD
  const up_deg = Math.atan2(z, Math.hypot(x, y)) / RAD
  return lookingEye(eye.target, bearing_deg, Math.min(Math.max(up_deg, -89), 89), eye.pxPerMm)
}

/** The point in the plane through the target, across the line of sight, that is drawn at a place of the sheet. */
export function unproject(eye: Eye, basis: Basis, free: FreeBox, x_px: number, y_px: number): Vec3 {
  const r = (x_px - free.left - free.width / 2) / eye.pxPerMm
  const u = -(y_px - free.top - free.height / 2) / eye.pxPerMm
  return [
    eye.target[0] + basis.right[0] * r + basis.up[0] * u,
    eye.target[1] + basis.right[1] * r + basis.up[1] * u,
    eye.target[2] + basis.right[2] * r + basis.up[2] * u,
  ]
}

/** Same angles, the whole of `points` in the middle of the free box and filling this share of it. */
export function fitEye(
  angles: Pick<Eye, 'azimuth_deg' | 'elevation_deg'>,
  points: readonly Vec3[],
  free: FreeBox,
  share = 0.93,
): Eye {
  const basis = basisOf(angles)
  const low = [Infinity, Infinity, Infinity]
  const high = [-Infinity, -Infinity, -Infinity]
  for (const p of points)
    for (const [k, axis] of [basis.right, basis.up, basis.back].entries()) {
      const v = dot(axis, p)
      low[k] = Math.min(low[k]!, v)
      high[k] = Math.max(high[k]!, v)
    }
  if (points.length === 0) return { ...angles, target: [0, 0, 0], pxPerMm: 0.4 }
  const [r, u, b] = [0, 1, 2].map((k) => (low[k]! + high[k]!) / 2) as [number, number, number]
  const pxPerMm =
    share * Math.min(free.width / Math.max(high[0]! - low[0]!, 1), free.height / Math.max(high[1]! - low[1]!, 1))
  const target: Vec3 = [0, 1, 2].map(
    (k) => basis.right[k]! * r + basis.up[k]! * u + basis.back[k]! * b,
  ) as unknown as Vec3
  return { ...angles, target, pxPerMm }
}

/** Steps towards smaller scales and sideways that are tried to keep clear of what stands on the sheet. */
const SMALLER = [1, 0.96, 0.92, 0.88, 0.84, 0.8, 0.76]
const ASIDE = [0, 1, -1, 2, -2]
const ASIDE_PX = 22

/**
 * As `fitEye`, but a little smaller or aside where that keeps more of the points out of the boxes that stand on the sheet:
 * the legs of a frame stood behind the legend.
 */
export function fitClear(
  angles: Pick<Eye, 'azimuth_deg' | 'elevation_deg'>,
  points: readonly Vec3[],
  free: FreeBox,
  boxes: readonly { readonly left: number; readonly top: number; readonly right: number; readonly bottom: number }[],
): Eye {
  const whole = fitEye(angles, points, free)
  const basis = basisOf(whole)
  const places = points.map((p) => project(whole, basis, free, p))
  const cx = free.left + free.width / 2
  const cy = free.top + free.height / 2
  let best = { cost: Infinity, share: 1, dx: 0, dy: 0 }
  for (const share of SMALLER)
    for (const i of ASIDE)
      for (const j of ASIDE) {
        const [dx, dy] = [i * ASIDE_PX, j * ASIDE_PX]
        let covered = 0
        let outside = 0
        for (const p of places) {
          const x = cx + (p[0] - cx) * share + dx
          const y = cy + (p[1] - cy) * share + dy
          if (boxes.some((b) => x > b.left && x < b.right && y > b.top && y < b.bottom)) covered++
          if (
            x < free.left - 6 ||
            x > free.left + free.width + 6 ||
            y < free.top - 30 ||
            y > free.top + free.height + 6
          )
            outside++
        }
        const cost =
          ((covered + 3 * outside) / Math.max(places.length, 1)) * 12 +
          (1 - share) * 2 +
          (Math.abs(i) + Math.abs(j)) * 0.01
        if (cost < best.cost) best = { cost, share, dx, dy }
      }
  const pxPerMm = whole.pxPerMm * best.share
  const target = whole.target.map(
    (t, k) => t - (basis.right[k]! * best.dx - basis.up[k]! * best.dy) / pxPerMm,
  ) as unknown as Vec3
  return { ...angles, target, pxPerMm }
}

/** Scale changed by `factor` while the point under the pointer stays under it. */
export function zoomAbout(eye: Eye, free: FreeBox, x_px: number, y_px: number, factor: number): Eye {
  if (eye.central) {
    // Feet stay where they are: the field grows narrower or wider about the middle.
    const [least, most] = [scaleOfField(WIDE_DEG, free), scaleOfField(NARROW_DEG, free)]
    return { ...eye, pxPerMm: Math.min(Math.max(eye.pxPerMm * factor, least), most) }
  }
  const pxPerMm = Math.min(Math.max(eye.pxPerMm * factor, 0.02), 60)
  const basis = basisOf(eye)
  const held = unproject(eye, basis, free, x_px, y_px)
  const share = 1 - eye.pxPerMm / pxPerMm
  const target = eye.target.map((t, k) => t + (held[k]! - t) * share) as unknown as Vec3
  return { ...eye, target, pxPerMm }
}

/** Between two eyes, `t` from 0 to 1: the shorter way round, the scale by ratio. */
export function between(a: Eye, b: Eye, t: number): Eye {
  if (t >= 1) return b
  const turn = ((((b.azimuth_deg - a.azimuth_deg) % 360) + 540) % 360) - 180
  return {
    ...(b.central && { central: true }),
    azimuth_deg: a.azimuth_deg + turn * t,
    elevation_deg: a.elevation_deg + (b.elevation_deg - a.elevation_deg) * t,
    target: a.target.map((v, k) => v + (b.target[k]! - v) * t) as unknown as Vec3,
    pxPerMm: a.pxPerMm * (b.pxPerMm / a.pxPerMm) ** t,
  }
}

const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
]

/** The eight corners of a box. */
export const corners = (min: Vec3, max: Vec3): Vec3[] =>
  Array.from({ length: 8 }, (_, i) => [i & 1 ? max[0] : min[0], i & 2 ? max[1] : min[1], i & 4 ? max[2] : min[2]])
