import type { Steps } from '../geometry/kernel'
import { dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import type { Cloud } from './cloud'
import { fitStation, type Station } from './fit-station'
import { RADIUS_mm, type Seed } from './seed-tube'

/** A tube as it was walked: stations in order. */
export interface Piece {
  readonly stations: readonly Station[]
  readonly closed: boolean
  readonly radius_mm: number
}

/** Step along the axis, in radii. */
export const STEP = 0.6
const COVERAGE = 0.6
const COVERAGE_WEAK = 0.34
const RADIUS_SHARE = 0.06
/** Longest stretch without metal that is bridged (holes, joints), mm. */
const BRIDGE_mm = 140
/** A new station may not lie further from where it was expected, in radii; nor turn by more than (cosine of 12°). */
const STRAY = 0.25
const TURN = 0.978
const MOST_STATIONS = 4000

/** First station of a tube at a seed, or null if there is no tube. */
export function firstStation(cloud: Cloud, seed: Seed, noise_mm: number): Station | null {
  const wide = { noise_mm, held: false, wide: true }
  const found = fitStation(cloud, seed.at, seed.along, [0, 0, 0], seed.radius_mm, wide)
  if (!found || found.coverage < COVERAGE) return null
  if (found.radius_mm < RADIUS_mm.least || found.radius_mm > RADIUS_mm.most) return null
  // Once more, narrow: a seed on a fillet beside a tube lands on the tube.
  const narrow = { noise_mm, held: false, wide: false }
  const fine = fitStation(cloud, found.at, found.along, found.bend, found.radius_mm, narrow)
  if (!fine || fine.coverage < COVERAGE) return null
  const believable = Math.max(3 * noise_mm, 0.05 * fine.radius_mm)
  return fine.rms_mm < believable ? fine : null
}

/**
 * Walks a tube from one station to both its ends, predicting each step with the curvature.
 *
 * Where little metal is left (joints, holes) the radius is held and the axis kept straight, and the station is marked weak;
 * where there is none, up to 140 mm are bridged. A walk that comes back to its own start closes the tube.
 */
export function* marchTube(cloud: Cloud, first: Station, noise_mm: number): Steps<Piece> {
  const ahead = yield* walk(cloud, first, first, noise_mm)
  if (ahead.closed) return { stations: ahead.stations, closed: true, radius_mm: typicalRadius(ahead.stations) }
  const turned: Station = { ...first, along: scaled(first.along, -1) }
  const behind = yield* walk(cloud, turned, first, noise_mm)
  const back = behind.stations
    .slice(1)
    .reverse()
    .map((s): Station => ({ ...s, along: scaled(s.along, -1) }))
  const stations = trimWeak([...back, ...ahead.stations])
  return { stations, closed: false, radius_mm: typicalRadius(stations) }
}

function* walk(
  cloud: Cloud,
  from: Station,
  start: Station,
  noise_mm: number,
): Steps<{ readonly stations: Station[]; readonly closed: boolean }> {
  const stations: Station[] = [from]
  let radius = from.radius_mm
  let last = from
  let gone = 0
  let away = false
  while (stations.length < MOST_STATIONS) {
    if (stations.length % 32 === 0) yield 0
    const step = STEP * radius
    gone += step
    // From the last station, along its bend; over gaps straight on.
    const bend: Vec = gone > 2.5 * step ? [0, 0, 0] : last.bend
    const at = plus(plus(last.at, last.along, gone), bend, 0.5 * gone * gone)
    const along = unit(plus(last.along, bend, gone))
    const next = stationAt(cloud, at, along, last, radius, noise_mm)
    if (next) {
      stations.push(next)
      last = next
      gone = 0
      if (!next.weak) radius += 0.1 * (next.radius_mm - radius)
      const dx = plus(next.at, start.at, -1)
      const beyond = dot(dx, start.along)
      const apart = dot(dx, dx)
      if (apart > 36 * radius * radius) away = true
      // Home again: past the start, on its axis.
      if (away && apart < 1.44 * step * step + 0.25 * radius * radius && dot(next.along, start.along) > TURN) {
        if (beyond > -0.75 * step) {
          if (beyond > -0.25 * step) stations.pop()
          return { stations, closed: true }
        }
      }
    } else if (gone + step > BRIDGE_mm) break
  }
  return { stations, closed: false }
}

function stationAt(cloud: Cloud, at: Vec, along: Vec, last: Station, radius: number, noise_mm: number): Station | null {
  const fits = (s: Station | null, coverage: number): s is Station => {
    if (!s || s.coverage < coverage || dot(s.along, along) < TURN) return false
    const d = plus(s.at, at, -1)
    return dot(d, d) < STRAY * STRAY * radius * radius
  }
  const free = fitStation(cloud, at, along, last.bend, radius, { noise_mm, held: false, wide: false })
  if (fits(free, COVERAGE) && Math.abs(free.radius_mm - radius) < RADIUS_SHARE * radius) return free
  const held = fitStation(cloud, at, along, [0, 0, 0], radius, { noise_mm, held: true, wide: false })
  return fits(held, COVERAGE_WEAK) ? held : null
}

/** Weak stations at the ends are guesses beyond the metal. */
function trimWeak(stations: readonly Station[]): Station[] {
  let from = 0
  let to = stations.length
  while (from < to && stations[from]!.weak) from++
  while (to > from && stations[to - 1]!.weak) to--
  return stations.slice(from, to)
}

/** Middle of the radii of the sure stations. */
export function typicalRadius(stations: readonly Station[]): number {
  const sure = stations.filter((s) => !s.weak).map((s) => s.radius_mm)
  const radii = (sure.length > 0 ? sure : stations.map((s) => s.radius_mm)).sort((a, b) => a - b)
  return radii.length > 0 ? radii[radii.length >> 1]! : 0
}
