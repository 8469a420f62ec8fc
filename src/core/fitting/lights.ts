/** Every navigation light of the job against everything else that is fitted, the shells and the metal. */
import type { Matrix4, Point } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { bounds, transformMesh } from '../geometry/mesh'
import { asinDeg, cosDeg, sinDeg } from '../geometry/portable-math'
import type { Finding } from '../geometry/trouble'
import { dot, plus } from '../geometry/vectors'
import { clipped, type HiddenSector, type HorizonBody, hiddenInSum_deg, horizon, type Shadow, widest } from './horizon'
import { arcOf, fullArcOf, hiddenLimit_deg, type LightArc, mirroredKind, range_nm } from './light-rules'
import type { LightSetting, NavigationLight, VesselSettings } from './settings'
import { onPart, standOf } from './stand-axes'
import type { PlacedFitting } from './types'

/** Annex I 10 asks full strength from 5° below to 5° above the horizontal: each elevation in between is looked at, degrees. */
const REACH_DEG = 5
/** And 60 % of it to 7.5° below and above (S07, power-driven craft): looked at as well. */
const WEAK_REACH_DEG = 7.5
const STEP_DEG = 0.25
/** Elevations beside the top and the foot of each body that ends within reach, so that no ledge falls between two steps. */
const HAIR_DEG = 0.01
/** Where a lamp's source is thought to be when nobody says: share of its height. */
const SOURCE_SHARE = 0.75
/** Below this a hidden sector is rounding. */
const ROUNDING_DEG = 0.005

export interface ShadowFigures {
  readonly elevation_deg: number
  /** The widest single sector inside the arc that is asked. */
  readonly widest_deg: number
  readonly sum_deg: number
  readonly sectors: readonly HiddenSector[]
}

export interface LightCheck {
  readonly id: string
  readonly name: string
  readonly twin: boolean
  readonly kind: NavigationLight
  /** Where its own ahead points, bearing from the bow; a mirrored twin looks the other way. */
  readonly forward_deg: number
  readonly source: Point<'job'>
  /** True where nobody said how high the source stands. */
  readonly sourceGuessed: boolean
  /** Bearings from the bow: the arc of Rule 21, and the part of it that must have full strength. */
  readonly arc: LightArc
  readonly full: LightArc
  /** null: excepted. */
  readonly limit_deg: number | null
  readonly range_nm: number | null
  readonly horizontal: ShadowFigures
  /** The worst single elevation from the horizontal to 5° above; this one is judged. */
  readonly worst: ShadowFigures
  /** The worst single elevation below the horizontal, down to 5°. */
  readonly below: ShadowFigures
  /** The worst single elevation from 5° to 7.5° below, where 60 % is asked. */
  readonly weaker: ShadowFigures
  /** At the horizontal with the vessel trimmed and leaning as stated, the worst of upright and both sides; null: not stated. */
  readonly running: ShadowFigures | null
  readonly verdict: 'clear' | 'hidden' | 'hidden-below' | 'excepted'
  /** About how far it must move away from what hides it, mm; null where nothing is asked or no move helps. */
  readonly moveAway_mm: number | null
}

export interface LightItem {
  readonly placed: PlacedFitting
  readonly light: LightSetting & { readonly kind: NavigationLight }
  /** The twin is the part's mirror image: so is its light. */
  readonly mirrored: boolean
}

export function* checkLights(
  items: readonly LightItem[],
  placed: readonly PlacedFitting[],
  others: readonly HorizonBody[],
  vessel: VesselSettings,
): Steps<{ lights: readonly LightCheck[]; findings: readonly Finding[] }> {
  const lights: LightCheck[] = []
  for (const [i, item] of items.entries())
    lights.push(
      yield* within(i / items.length, (i + 1) / items.length, 'lights', checkLight(item, placed, others, vessel)),
    )
  const findings = lights.flatMap(lightFindings)
  return { lights, findings: [...findings, ...heightFindings(lights, placed, vessel)] }
}

function* checkLight(
  { placed: own, light, mirrored }: LightItem,
  placed: readonly PlacedFitting[],
  others: readonly HorizonBody[],
  vessel: VesselSettings,
): Steps<LightCheck> {
  const kind = mirrored ? mirroredKind(light.kind) : light.kind
  const forward_deg = mirrored ? -light.forward_deg : light.forward_deg
  const height_mm = light.source_mm ?? SOURCE_SHARE * heightOverBase(own)
  const source = onPart(standOf(own), [0, 0, height_mm])
  const bodies: HorizonBody[] = [
    ...placed.filter((p) => p !== own).map((p) => ({ name: p.twin ? `${p.name} (twin)` : p.name, mesh: p.mesh })),
    ...others,
  ]
  const shadows = yield* horizon(source, bodies, elevationsOf(source, bodies))
  const arc = turnedArc(arcOf(kind), forward_deg)
  const full = turnedArc(fullArcOf(kind), forward_deg)
  const figures = shadows.map((s) => figuresOf(s, full))
  const worstOf = (some: readonly ShadowFigures[]) => some.reduce((a, b) => (b.widest_deg > a.widest_deg ? b : a))
  const horizontal = figures.find((f) => f.elevation_deg === 0)!
  const worst = worstOf([horizontal, ...figures.filter((f) => f.elevation_deg > 0 && f.elevation_deg <= REACH_DEG)])
  const below = worstOf(figures.filter((f) => f.elevation_deg < 0 && f.elevation_deg >= -REACH_DEG))
  const weaker = worstOf(figures.filter((f) => f.elevation_deg < -REACH_DEG))
  const tilted: ShadowFigures[] = []
  for (const tilt of tilts(vessel)) {
    const leaning = bodies.map((b) => ({ name: b.name, mesh: transformMesh(b.mesh, tiltAbout(source, tilt), 'job') }))
    const [level] = yield* horizon(source, leaning, [0])
    tilted.push(figuresOf(level!, full))
  }
  const limit_deg = hiddenLimit_deg(kind)
  const over = (f: ShadowFigures) => limit_deg !== null && f.widest_deg > limit_deg + ROUNDING_DEG
  return {
    id: own.id,
    name: own.name,
    twin: own.twin,
    kind,
    forward_deg,
    source,
    sourceGuessed: light.source_mm === null,
    arc,
    full,
    limit_deg,
    range_nm: range_nm(kind, vessel.length_m),
    horizontal,
    worst,
    below,
    weaker,
    running: tilted.length > 0 ? worstOf(tilted) : null,
    verdict: limit_deg === null ? 'excepted' : over(worst) ? 'hidden' : over(below) ? 'hidden-below' : 'clear',
    moveAway_mm: over(worst) && limit_deg ? moveAway_mm(widest(worst.sectors)!, limit_deg) : null,
  }
}

interface Tilt {
  readonly trim_deg: number
  /** To port above 0. */
  readonly heel_deg: number
}

/** As she runs: trimmed and upright, and leaning to each side. */
function tilts({ trim_deg, heel_deg }: VesselSettings): readonly Tilt[] {
  const [trim, heel] = [trim_deg ?? 0, heel_deg ?? 0]
  if (trim === 0 && heel === 0) return []
  const upright = trim === 0 ? [] : [{ trim_deg: trim, heel_deg: 0 }]
  const leaning = heel === 0 ? [] : [heel, -heel].map((h) => ({ trim_deg: trim, heel_deg: h }))
  return [...upright, ...leaning]
}

/** The vessel leant to port about her length, then bow up about her breadth; the light stays where it is. */
export function tiltAbout(at: Point<'job'>, { trim_deg, heel_deg }: Tilt): Matrix4 {
  const [ct, st, ch, sh] = [cosDeg(trim_deg), sinDeg(trim_deg), cosDeg(heel_deg), sinDeg(heel_deg)]
  const rows = [
    [ct, st * sh, -st * ch],
    [0, ch, sh],
    [st, -ct * sh, ct * ch],
  ] as const
  const row = (k: 0 | 1 | 2): [number, number, number, number] => {
    const [a, b, c] = rows[k]
    return [a, b, c, at[k] - (a * at[0] + b * at[1] + c * at[2])]
  }
  return [...row(0), ...row(1), ...row(2), 0, 0, 0, 1]
}

const turnedArc = (arc: LightArc, by_deg: number): LightArc => ({
  from_deg: (((arc.from_deg + by_deg) % 360) + 360) % 360,
  width_deg: arc.width_deg,
})

function figuresOf(shadow: Shadow, full: LightArc): ShadowFigures {
  const sectors = clipped(shadow.sectors, full.from_deg, full.width_deg).filter((s) => s.width_deg > ROUNDING_DEG)
  return {
    elevation_deg: shadow.elevation_deg,
    widest_deg: widest(sectors)?.width_deg ?? 0,
    sum_deg: hiddenInSum_deg(sectors),
    sectors,
  }
}

/** Steps of a quarter degree, and a hair inside the lowest and the highest corner of every body that ends within reach. */
function elevationsOf(source: Point<'job'>, bodies: readonly HorizonBody[]): number[] {
  const steps = Math.round(WEAK_REACH_DEG / STEP_DEG)
  const all = new Set(Array.from({ length: 2 * steps + 1 }, (_, i) => (i - steps) * STEP_DEG))
  for (const { mesh } of bodies) {
    let low = Infinity
    let high = -Infinity
    const { positions: p, origin: o } = mesh
    for (let i = 0; i < p.length; i += 3) {
      const x = p[i]! + o[0] - source[0]
      const y = p[i + 1]! + o[1] - source[1]
      const z = p[i + 2]! + o[2] - source[2]
      const s = z / Math.sqrt(x * x + y * y + z * z)
      if (s < low) low = s
      if (s > high) high = s
    }
    for (const e of [asinDeg(low) + HAIR_DEG, asinDeg(high) - HAIR_DEG])
      if (e > -WEAK_REACH_DEG && e < REACH_DEG) all.add(e)
  }
  return [...all].sort((a, b) => a - b)
}

/** Along its own up, from the base to its farthest point, mm. */
function heightOverBase(own: PlacedFitting): number {
  const { seat, mesh } = own
  let most = 0
  const { positions: p, origin: o } = mesh
  for (let i = 0; i < p.length; i += 3) {
    const h = dot(plus([p[i]! + o[0], p[i + 1]! + o[1], p[i + 2]! + o[2]], seat.at, -1), seat.normal)
    if (h > most) most = h
  }
  return most
}

/**
 * For something round of which the near side stands `distance` off and hides `width`: its axis is at D with r = D sin(w/2);
 * within the limit from r / sin(limit/2) on. Right for tubes, about right for the rest.
 */
function moveAway_mm({ width_deg, distance_mm }: HiddenSector, limit_deg: number): number | null {
  if (width_deg >= 90) return null
  const s = sinDeg(width_deg / 2)
  const axis_mm = distance_mm / (1 - s)
  return (axis_mm * s) / sinDeg(limit_deg / 2) - axis_mm
}

const QUARTERS = [
  'ahead',
  'on the starboard bow',
  'on the starboard beam',
  'on the starboard quarter',
  'astern',
  'on the port quarter',
  'on the port beam',
  'on the port bow',
] as const

/** @example bearingWords(181) // 'astern' */
export const bearingWords = (bearing_deg: number): string =>
  QUARTERS[Math.round((((bearing_deg % 360) + 360) % 360) / 45) % 8]!

/** Against the light's own favour: what is hidden is rounded up. */
const hiddenText = (deg: number): string => `${(Math.ceil(deg * 10 - 1e-6) / 10).toFixed(1)}°`

const idOf = (light: LightCheck): string => `${light.id}${light.twin ? '.twin' : ''}`

function lightFindings(light: LightCheck): Finding[] {
  const found: Finding[] = []
  const about = { step: 'fitting' as const, where: light.source, unit: 'deg' }
  const called = `The ${kindWords(light.kind)} (${light.name})`
  const asked = light.limit_deg === 0 ? 'nothing may be hidden there' : `${light.limit_deg}° is allowed`
  if (light.verdict === 'hidden') {
    const sector = widest(light.worst.sectors)!
    const middle = sector.from_deg + sector.width_deg / 2
    const at = light.worst.elevation_deg === 0 ? '' : `, ${light.worst.elevation_deg.toFixed(1)}° above the horizontal`
    found.push({
      ...about,
      id: `fitting.light.${idOf(light)}`,
      severity: 'hold',
      message: `${called} is hidden over ${hiddenText(sector.width_deg)} ${bearingWords(middle)} by ${sector.by}${at}; ${asked}.`,
      advice: `${moveWords(light, middle)} COLREGS Annex I 9; the rules of your flag state decide.`,
      value: sector.width_deg,
      limit: light.limit_deg ?? 0,
    })
  }
  if (light.verdict === 'hidden-below') {
    const sector = widest(light.below.sectors)!
    found.push({
      ...about,
      id: `fitting.light-below.${idOf(light)}`,
      severity: 'warning',
      message: `${called} is free at the horizontal, but ${hiddenText(-light.below.elevation_deg)} below it ${sector.by} hides ${hiddenText(sector.width_deg)} ${bearingWords(sector.from_deg + sector.width_deg / 2)}.`,
      advice:
        'Raise it if it must be seen from close by or over the bow at speed: COLREGS Annex I 10 asks full strength to 5° below. The rules of your flag state decide.',
      value: sector.width_deg,
      limit: light.limit_deg ?? 0,
    })
  }
  const over = (f: ShadowFigures | null): f is ShadowFigures =>
    f !== null && light.limit_deg !== null && f.widest_deg > light.limit_deg + ROUNDING_DEG
  // Said once: where it is hidden level already, trim and 60 % add nothing that must be known.
  if (light.verdict === 'clear' && over(light.weaker)) {
    const sector = widest(light.weaker.sectors)!
    found.push({
      ...about,
      id: `fitting.light-weaker.${idOf(light)}`,
      severity: 'note',
      message: `${called} is free to 5° below the horizontal, but ${hiddenText(-light.weaker.elevation_deg)} below it ${sector.by} hides ${hiddenText(sector.width_deg)} ${bearingWords(sector.from_deg + sector.width_deg / 2)}; 60 % of its strength is asked to 7.5°.`,
      advice:
        'Raise it if she is a power-driven craft that trims by the stern (COLREGS Annex I 10); the rules of your flag state decide.',
      value: sector.width_deg,
      limit: light.limit_deg ?? 0,
    })
  }
  if (light.verdict !== 'hidden' && over(light.running)) {
    const sector = widest(light.running.sectors)!
    found.push({
      ...about,
      id: `fitting.light-running.${idOf(light)}`,
      severity: 'warning',
      message: `${called} is free while she lies level, but trimmed or leaning as stated ${sector.by} hides ${hiddenText(sector.width_deg)} of the horizon ${bearingWords(sector.from_deg + sector.width_deg / 2)}; ${asked}.`,
      advice: 'Raise it until it looks over that as she runs. The rules of your flag state decide.',
      value: sector.width_deg,
      limit: light.limit_deg ?? 0,
    })
  }
  if (light.sourceGuessed)
    found.push({
      ...about,
      id: `fitting.light-source.${idOf(light)}`,
      severity: 'note',
      message: `Nobody says how high the source of ${light.name} stands; three quarters of its height is taken.`,
      advice: 'Give the height of the source over the base.',
    })
  return found
}

const FARTHEST_MM = 600

function moveWords(light: LightCheck, middle_deg: number): string {
  const move = light.moveAway_mm
  // Farther than a top is long nobody moves a light: up is the way then.
  if (move !== null && move > FARTHEST_MM)
    return `Raise the light until it looks over it, or put one of them elsewhere: side by side they would have to stand ${(Math.ceil(move / 5) * 5).toFixed(0)} mm farther apart.`
  if (move === null) return light.limit_deg === 0 ? 'Move one of them.' : 'Raise it, or put it elsewhere.'
  return `About ${(Math.ceil(move / 5) * 5).toFixed(0)} mm more between them clears it: move the light ${awayWords(middle_deg)}, or two lights that look like one (Annex I 9(b)(ii)).`
}

/** The way from what hides it, as one says it on board. */
function awayWords(middle_deg: number): string {
  const away = (((middle_deg + 180) % 360) + 360) % 360
  return ['forward', 'to starboard', 'aft', 'to port'][Math.round(away / 90) % 4]!
}

export const kindWords = (kind: NavigationLight): string =>
  ({
    masthead: 'masthead light',
    port: 'port sidelight',
    starboard: 'starboard sidelight',
    combined: 'combined lantern',
    stern: 'sternlight',
    towing: 'towing light',
    'all-round': 'all-round light',
    anchor: 'anchor light',
  })[kind]

/** Heights of Annex I 2 (S06), as far as the vessel is known. */
function heightFindings(
  lights: readonly LightCheck[],
  placed: readonly PlacedFitting[],
  { length_m, gunwale_mm }: VesselSettings,
): Finding[] {
  const found: Finding[] = []
  const about = { step: 'fitting' as const, severity: 'warning' as const, unit: 'mm' }
  const sides = lights.filter((l) => l.kind === 'port' || l.kind === 'starboard' || l.kind === 'combined')
  for (const mast of lights.filter((l) => l.kind === 'masthead')) {
    const z = mast.source[2]
    if (length_m !== null && length_m < 12 && sides.length > 0) {
      const over = z - Math.max(...sides.map((s) => s.source[2]))
      if (over < 1000)
        found.push({
          ...about,
          id: `fitting.light-height.${idOf(mast)}`,
          message: `The masthead light stands ${Math.floor(over)} mm above the sidelights; 1000 mm is asked below 12 m of length.`,
          advice: 'Raise it or lower the sidelights (COLREGS Annex I 2); the rules of your flag state decide.',
          where: mast.source,
          value: over,
          limit: 1000,
        })
    }
    if (length_m !== null && length_m >= 12 && length_m < 20 && gunwale_mm !== null && z - gunwale_mm < 2500)
      found.push({
        ...about,
        id: `fitting.light-height.${idOf(mast)}`,
        message: `The masthead light stands ${Math.floor(z - gunwale_mm)} mm above the gunwale; 2500 mm is asked from 12 to 20 m of length.`,
        advice: 'Raise it (COLREGS Annex I 2); the rules of your flag state decide.',
        where: mast.source,
        value: z - gunwale_mm,
        limit: 2500,
      })
    for (const p of placed) {
      const top = bounds(p.mesh).max[2]
      if (p.id === mast.id || top <= z) continue
      found.push({
        ...about,
        id: `fitting.light-over.${idOf(mast)}.${p.id}${p.twin ? '.twin' : ''}`,
        message: `${p.name} rises ${Math.ceil(top - z)} mm above the masthead light.`,
        advice: 'A masthead light stands above and clear of all other lights and obstructions (COLREGS Annex I 2(f)).',
        where: mast.source,
        value: top - z,
        limit: 0,
      })
    }
  }
  return found
}
