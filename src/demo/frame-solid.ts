/**
 * A canopy frame for a harbour survey launch as a welded solid, with the truth about it.
 *
 * Job axes: x forward, y to port, z up, mm; the origin is in the middle of the ring in plan and at the mean height of the
 * ring's axis, taken before anything is made crooked. Sizes vary with the seed within what such frames have (common
 * practice, no source). Fore and aft differ on purpose: legs and cross tubes stand unevenly, as on a real frame.
 */
import {
  crossTube,
  type Heights,
  type PlateShape,
  type Primitive,
  plate,
  ringTube,
  straightTube,
  type Vec3,
} from './primitives'
import { type Random, seeded } from './random'
import type { Solid } from './solid'

export interface FrameOptions {
  readonly seed: number
  /** How far the port side hangs low at the ring's axis, mm; the lowering grows linearly from the centreline. */
  readonly asymmetry_mm: number
  /** One corner up, the next down, mm at the corners of the ring. */
  readonly twist_mm: number
  /** Bow of the after port leg at its middle, outwards, mm. */
  readonly bentLeg_mm: number
  /** How much further out the port side stands, mm. */
  readonly wider_mm: number
}

export const STRAIGHT_FRAME: Omit<FrameOptions, 'seed'> = { asymmetry_mm: 0, twist_mm: 0, bentLeg_mm: 0, wider_mm: 0 }

interface TrueTube {
  readonly name: string
  readonly diameter_mm: number
  readonly closed: boolean
  /** Points on the axis, at most 25 mm apart, from joint to joint; job axes. */
  readonly axis: readonly Vec3[]
}

interface TruePlate extends PlateShape {
  readonly name: string
}

export interface FrameTruth {
  readonly seed: number
  readonly tubes: readonly TrueTube[]
  readonly plates: readonly TruePlate[]
  /** Where tubes meet. */
  readonly joints: readonly { readonly name: string; readonly at: Vec3 }[]
  readonly weld_mm: number
  readonly ring: {
    readonly length_mm: number
    readonly width_mm: number
    readonly bend_mm: number
    readonly camberForeAft_mm: number
    readonly camberAthwart_mm: number
  }
  readonly loweredPort: {
    readonly at_mm: number
    readonly mm: number
    /** Height lost per mm to port of the centreline. */
    readonly slope: number
  }
  readonly twist_mm: number
  readonly bentLeg_mm: number
  readonly wider_mm: number
}

/** Within this distance of the centreline the lowering sets in as a parabola, so that no tube is kinked. */
const EASE = 60

export function frameSolid(options: FrameOptions): { solid: Solid; truth: FrameTruth } {
  const chance = seeded(options.seed).fork('frame')
  const size = sizes(chance)
  const { twist_mm, bentLeg_mm, wider_mm } = options
  const halfLength = size.length / 2
  const starboard = -size.width / 2
  const port = size.width / 2 + wider_mm
  const middleY = (starboard + port) / 2
  const halfWidth = (port - starboard) / 2
  const slope = options.asymmetry_mm / port

  // Lowering: 0 to starboard, linear to port; the difference between y and -y is slope * y everywhere.
  const lowered = (y: number) => (y > EASE ? slope * y : y < -EASE ? 0 : (slope * (y + EASE) * (y + EASE)) / (4 * EASE))
  const loweredSlope = (y: number) => (y > EASE ? slope : y < -EASE ? 0 : (slope * (y + EASE)) / (2 * EASE))
  const twist = twist_mm / (halfLength * halfWidth)
  const crooked = (x: number, y: number) => twist * x * y - lowered(y)

  const rise = meanFall(size, halfLength, size.width / 2)
  const curveX = size.camberForeAft / (halfLength * halfLength)
  const curveY = size.camberAthwart / (halfWidth * halfWidth)
  /** `extra`: camber of a cross tube beyond the ring's own. */
  const heights = (extra = 0): Heights => {
    const k = curveY + extra / (halfWidth * halfWidth)
    return {
      at: (x, y) => rise + extra - curveX * x * x - k * (y - middleY) * (y - middleY) + crooked(x, y),
      slopeX: (x, y) => -2 * curveX * x + twist * y,
      slopeY: (x, y) => -2 * k * (y - middleY) + twist * x - loweredSlope(y),
    }
  }

  const ringHeights = heights()
  const ringPlan = { middle: [0, middleY], halfLength, halfWidth, cornerRadius: size.bend } as const
  const ringRadius = size.ringDiameter / 2
  const primitives: Primitive[] = [ringTube('ring', ringPlan, ringHeights, ringRadius)]
  const tubes: TrueTube[] = [
    { name: 'ring', diameter_mm: size.ringDiameter, closed: true, axis: ringAxis(ringPlan, ringHeights) },
  ]
  const plates: TruePlate[] = []
  const joints: { name: string; at: Vec3 }[] = []
  const addPlate = (name: string, shape: PlateShape) => {
    plates.push({ name, ...shape })
    primitives.push(plate(name, shape))
  }
  const sides = [
    { name: 'starboard', sign: -1, y: starboard },
    { name: 'port', sign: 1, y: port },
  ] as const

  for (const [i, tube] of size.crossTubes.entries()) {
    const name = `cross ${i + 1}`
    const over = heights(tube.extraCamber)
    primitives.push(crossTube(name, tube.x, [starboard, port], over, size.crossDiameter / 2))
    const axis: Vec3[] = []
    const count = Math.ceil((port - starboard) / 20)
    for (let s = 0; s <= count; s++) {
      const y = starboard + ((port - starboard) * s) / count
      axis.push([tube.x, y, over.at(tube.x, y)])
    }
    tubes.push({ name, diameter_mm: size.crossDiameter, closed: false, axis })
    for (const side of sides)
      joints.push({ name: `${name} ${side.name}`, at: [tube.x, side.y, over.at(tube.x, side.y)] })

    // Flat corner plates brace the outermost cross tubes against the ring.
    if (tube.gusset_mm > 0)
      for (const side of sides) {
        const along = tube.x > 0 ? -1 : 1
        const u = unit([along, 0, along * ringHeights.slopeX(tube.x, side.y)])
        const inward = unit([0, -side.sign, -side.sign * over.slopeY(tube.x, side.y)])
        const reach = [ringRadius, size.crossDiameter / 2, tube.gusset_mm, tube.gusset_mm] as const
        const at: Vec3 = [tube.x, side.y, over.at(tube.x, side.y)]
        addPlate(`${name} corner plate ${side.name}`, gusset(at, u, inward, reach, size.gussetThickness))
      }
  }

  for (const leg of size.legs)
    for (const side of sides) {
      const name = `leg ${leg.name} ${side.name}`
      const top: Vec3 = [leg.x, side.y, ringHeights.at(leg.x, side.y)]
      const footX = leg.x + leg.rake
      const footY = side.y + side.sign * leg.splay
      // The deck follows the port side down: a lowered side is a shear of the whole frame, legs and feet included.
      const foot: Vec3 = [footX, footY, -size.height + crooked(footX, footY)]
      const end: Vec3 = [foot[0], foot[1], foot[2] + size.footThickness - 1]
      const d = unit([end[0] - top[0], end[1] - top[1], end[2] - top[2]])
      const bow = leg.name === 'aft' && side.name === 'port' ? bentLeg_mm : 0
      const bowTo = unit(across([0, side.sign, 0], d))
      primitives.push(straightTube(name, top, end, size.legDiameter / 2, bow, bowTo))
      const count = Math.ceil(size.height / 20)
      const axis = Array.from({ length: count + 1 }, (_, s): Vec3 => {
        const share = s / count
        const out = 4 * bow * share * (1 - share)
        return [0, 1, 2].map((k) => top[k]! + (end[k]! - top[k]!) * share + bowTo[k]! * out) as unknown as Vec3
      })
      tubes.push({ name, diameter_mm: size.legDiameter, closed: false, axis })
      joints.push({ name: `${name} top`, at: top }, { name: `${name} foot`, at: end })

      const eastward = unit([1, 0, twist * footY])
      const northward = unit(across([0, 1, twist * footX - loweredSlope(footY)], eastward))
      addPlate(`foot ${leg.name} ${side.name}`, {
        at: [foot[0], foot[1], foot[2] + size.footThickness / 2],
        u: eastward,
        v: northward,
        outline: roundedOutline(size.footLength / 2, size.footWidth / 2, 14),
        thickness_mm: size.footThickness,
        edge_mm: 0.8,
      })
      for (const along of [1, -1]) {
        const e1 = unit([along, 0, along * ringHeights.slopeX(leg.x, side.y)])
        const reach = [ringRadius, size.legDiameter / 2, leg.gussetAlong, leg.gussetDown] as const
        const word = along > 0 ? 'forward' : 'after'
        addPlate(`gusset ${leg.name} ${side.name} ${word}`, gusset(top, e1, d, reach, size.gussetThickness))
      }
    }

  if (size.instrumentPlate) {
    const tube = size.crossTubes[size.crossTubes.length - 1]!
    const over = heights(tube.extraCamber)
    const y = middleY
    const z = over.at(tube.x, y) + size.crossDiameter / 2 + size.gussetThickness / 2 - 1.5
    addPlate('instrument plate', {
      at: [tube.x, y, z],
      u: unit([1, 0, over.slopeX(tube.x, y)]),
      v: unit(across([0, 1, over.slopeY(tube.x, y)], unit([1, 0, over.slopeX(tube.x, y)]))),
      outline: roundedOutline(size.instrumentPlate[0] / 2, size.instrumentPlate[1] / 2, 18),
      thickness_mm: size.gussetThickness,
      edge_mm: 0.8,
    })
  }

  return {
    solid: { primitives, weld_mm: size.weld },
    truth: {
      seed: options.seed,
      tubes,
      plates,
      joints,
      weld_mm: size.weld,
      ring: {
        length_mm: size.length,
        width_mm: size.width,
        bend_mm: size.bend,
        camberForeAft_mm: size.camberForeAft,
        camberAthwart_mm: size.camberAthwart,
      },
      loweredPort: { at_mm: port, mm: options.asymmetry_mm, slope },
      twist_mm,
      bentLeg_mm,
      wider_mm,
    },
  }
}

/** Draws every size of one frame; the order of the draws is part of the seed's meaning. */
function sizes(chance: Random) {
  const length = round(chance.between(2400, 2800), 5)
  const width = round(chance.between(1700, 2000), 5)
  const ringDiameter = chance.pick([40, 42.4, 45, 48.3, 50])
  const bend = round(chance.between(180, 220), 5)
  const straight = length / 2 - bend
  const count = chance.whole(3, 5)
  const crossDiameter = Math.min(ringDiameter, chance.pick([33.7, 38, 40]))
  const crossTubes = Array.from({ length: count }, (_, i) => ({
    // From aft to forward over the straight part of the ring, each a little off its even place.
    x: (i / (count - 1) - 0.5) * 1.72 * straight + chance.between(-45, 45),
    extraCamber: chance.between(0, 14),
    gusset_mm: i === 0 || i === count - 1 ? chance.between(70, 95) : 0,
  }))
  const clearOfCross = (x: number) => {
    // A gusset and a cross tube do not share one place on the ring.
    const near = crossTubes.find((tube) => Math.abs(tube.x - x) < 60)
    return near ? near.x + (x < near.x ? -60 : 60) : x
  }
  return {
    length,
    width,
    ringDiameter,
    bend,
    crossDiameter,
    crossTubes,
    legDiameter: ringDiameter,
    height: round(chance.between(900, 1150), 5),
    legs: [
      {
        name: 'fore',
        x: clearOfCross(straight * chance.between(0.62, 0.74)),
        rake: chance.between(25, 70),
        splay: chance.between(25, 55),
        gussetAlong: chance.between(95, 125),
        gussetDown: chance.between(95, 125),
      },
      {
        name: 'aft',
        x: clearOfCross(-straight * chance.between(0.68, 0.82)),
        rake: -chance.between(15, 50),
        splay: chance.between(25, 55),
        gussetAlong: chance.between(95, 125),
        gussetDown: chance.between(95, 125),
      },
    ],
    gussetThickness: 8,
    footThickness: 10,
    footLength: round(chance.between(120, 150), 5),
    footWidth: round(chance.between(95, 120), 5),
    camberForeAft: chance.between(26, 46),
    camberAthwart: chance.between(28, 48),
    weld: chance.between(4, 6),
    instrumentPlate:
      chance.next() < 0.7 ? ([round(chance.between(180, 240), 5), round(chance.between(280, 360), 5)] as const) : null,
  }
}

/** How far the ring's axis lies below its highest level on average over its length; lifting by it puts the mean at z = 0. */
function meanFall(size: ReturnType<typeof sizes>, halfLength: number, halfWidth: number): number {
  const plan = { middle: [0, 0], halfLength, halfWidth, cornerRadius: size.bend } as const
  const fall = (x: number, y: number) =>
    size.camberForeAft * (x / halfLength) * (x / halfLength) + size.camberAthwart * (y / halfWidth) * (y / halfWidth)
  const axis = ringAxis(plan, { at: fall, slopeX: () => 0, slopeY: () => 0 })
  let weighted = 0
  let total = 0
  for (const [i, a] of axis.entries()) {
    const b = axis[(i + 1) % axis.length]!
    const length = Math.sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]))
    weighted += (length * (a[2] + b[2])) / 2
    total += length
  }
  return weighted / total
}

/** Points along the ring's axis, counter-clockwise from above, at most 25 mm apart; the last joins the first. */
function ringAxis(
  plan: {
    readonly middle: readonly [number, number]
    readonly halfLength: number
    readonly halfWidth: number
    readonly cornerRadius: number
  },
  heights: Heights,
): Vec3[] {
  const { halfLength: a, halfWidth: b, cornerRadius: r } = plan
  const points: Vec3[] = []
  const put = (x: number, y: number) => {
    const [px, py] = [x + plan.middle[0], y + plan.middle[1]]
    points.push([px, py, heights.at(px, py)])
  }
  // Each corner with the straight side before it; directions by the unit tangent, turned a quarter each time.
  const corners = [
    [a - r, -(b - r), 1, 0],
    [a - r, b - r, 0, 1],
    [-(a - r), b - r, -1, 0],
    [-(a - r), -(b - r), 0, -1],
  ] as const
  const bendSteps = Math.ceil((r * 1.5708) / 20)
  for (const [i, [cx, cy, ux, uy]] of corners.entries()) {
    // Outward normal of the straight before this corner: the tangent turned clockwise.
    const [nx, ny] = [uy, -ux]
    const before = corners[(i + 3) % 4]!
    const run = Math.abs((cx - before[0]) * ux + (cy - before[1]) * uy)
    const steps = Math.ceil(run / 20)
    for (let s = 0; s < steps; s++) {
      const back = run * (1 - s / steps)
      put(cx + nx * r - ux * back, cy + ny * r - uy * back)
    }
    for (let s = 0; s < bendSteps; s++) {
      // Points of a quarter circle by half-angle tangents: t from 0 to 1 turns through a right angle exactly.
      const share = s / bendSteps
      const t = share / (1 + (1 - share) * 0.4142135623730951 * 0.7)
      const c = (1 - t * t) / (1 + t * t)
      const w = (2 * t) / (1 + t * t)
      put(cx + r * (nx * c + ux * w), cy + r * (ny * c + uy * w))
    }
  }
  return points
}

/**
 * A bracing plate in the corner between two tubes that meet at `at`, with blunt tips.
 *
 * @param reach radii of the first and second tube, then lengths along each, mm
 */
function gusset(
  at: Vec3,
  first: Vec3,
  second: Vec3,
  reach: readonly [number, number, number, number],
  thickness_mm: number,
): PlateShape {
  const [r1, r2, along, down] = reach
  const v = unit(across(second, first))
  const lean = second[0] * first[0] + second[1] * first[1] + second[2] * first[2]
  const tip = 12
  return {
    at,
    u: first,
    v,
    outline: [
      [0, 0],
      [along, 0],
      [along, r1 + tip],
      [r2 + tip + down * lean, down],
      [down * lean, down],
    ],
    thickness_mm,
    edge_mm: 0.8,
  }
}

/** A rectangle with its corners cut to about a radius, three straight cuts a corner. */
function roundedOutline(a: number, b: number, r: number): [number, number][] {
  const [s, c] = [0.5, 0.8660254037844386]
  const quarter = [
    [a, b - r],
    [a - r + r * c, b - r + r * s],
    [a - r + r * s, b - r + r * c],
    [a - r, b],
  ] as const
  const turned = (k: number) =>
    (k % 2 === 0 ? quarter : [...quarter].reverse()).map(([x, y]): [number, number] => [
      k === 1 || k === 2 ? -x : x,
      k >= 2 ? -y : y,
    ])
  return [0, 1, 2, 3].flatMap(turned)
}

function unit(v: Vec3): Vec3 {
  const length = Math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
  return [v[0] / length, v[1] / length, v[2] / length]
}

/** The part of `v` across the unit vector `d`. */
function across(v: Vec3, d: Vec3): Vec3 {
  const along = v[0] * d[0] + v[1] * d[1] + v[2] * d[2]
  return [v[0] - d[0] * along, v[1] - d[1] * along, v[2] - d[2] * along]
}

const round = (value: number, step: number): number => Math.round(value / step) * step
