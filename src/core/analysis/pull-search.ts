/**
 * Which way should it be pulled? Directions over a hemisphere ranked by the area that stays locked.
 *
 * The area that faces away is a lower bound of the locked area and costs a fraction of a millisecond for a direction. So all
 * directions get their bound; then, best first, the locked area itself, until no bound is below the best that was found. On a
 * tame face that is a handful instead of a thousand.
 */
import { type Adjacency, adjacency } from '../geometry/adjacency'
import type { Direction } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { type FacetShape, facetShape } from '../geometry/measure'
import { facetCount, type Mesh, vertexCount } from '../geometry/mesh'
import { cosDeg, sinDeg } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { halfCircle, hemisphere } from './directions'
import { facingAway, normalBins } from './normal-bins'
import { ownPull } from './own-pull'
import { acrossPull, facetSides, planView, unitPull } from './plan-view'
import { lockedShares } from './undercut'

export interface PullSearchOptions {
  /** Middle of the hemisphere. Default +z. */
  readonly around?: Direction
  /** Only directions in this plane (its unit normal): both halves then leave alike. Default: all. */
  readonly symmetricAbout?: Direction | null
  /** How many directions. Default 1,000 (4.5 degrees apart) over the hemisphere, 181 (1 degree) in a plane. */
  readonly count?: number
  /** How many of the best are returned. Default 5. */
  readonly best?: number
}

interface PullCandidate {
  readonly pull: Direction
  readonly locked_mm2: number
  readonly facingAway_mm2: number
  readonly blocked_mm2: number
  /** Sine of the least draft along it. */
  readonly leastSine: number
}

export interface PullSearch {
  /** Three per direction. */
  readonly directions: Float64Array
  /** One per direction, mm2: for a disc map. */
  readonly locked_mm2: Float64Array
  /** 1 where `locked_mm2` is only the area that faces away: the true one is that or more. */
  readonly boundOnly: Uint8Array
  /** The best, different ones (at least 3 degrees apart), exact; least locked area first, then most draft. */
  readonly best: readonly PullCandidate[]
  readonly evaluated: number
  /** False if the search stopped at its budget: a direction with only a bound might be better. */
  readonly complete: boolean
}

/** Facets looked at in all by evaluations; at least `LEAST_EVALUATIONS` are made whatever the size. */
const BUDGET = 30_000_000
const LEAST_EVALUATIONS = 24
/** Rounds of refinement round the best, each halving the spacing. */
const ROUNDS = 4
/** Two directions this near count as one: cosine of 3 degrees. */
const SAME_COS = 0.9986295347545738

/**
 * @throws Refused `setting-impossible` for options out of range
 * @example const { best } = drain(pullSearch(part)) // best[0].pull, best[0].locked_mm2
 */
export function* pullSearch(mesh: Mesh, options: PullSearchOptions = {}): Steps<PullSearch> {
  const around = unitPull(options.around ?? [0, 0, 1])
  const mirror = options.symmetricAbout ? unitPull(options.symmetricAbout) : null
  const count = options.count ?? (mirror ? 181 : 1000)
  const wanted = options.best ?? 5
  if (!(count >= 1 && count <= 100_000) || !(wanted >= 1))
    throw new Refused('setting-impossible', `A pull search of ${count} directions is out of range: give 1 to 100,000.`)
  const shape = yield* within(0, 0.02, 'pull search', facetShape(mesh))
  const bins = yield* within(0.02, 0.04, 'pull search', normalBins(shape))
  const neighbours = yield* within(0.04, 0.06, 'pull search', adjacency(mesh.indices, vertexCount(mesh)))
  const directions = mirror ? halfCircle(around, mirror, count) : hemisphere(around, count)
  const locked = new Float64Array(count)
  const boundOnly = new Uint8Array(count).fill(1)
  for (let i = 0; i < count; i++) {
    locked[i] = facingAway(bins, directions[3 * i]!, directions[3 * i + 1]!, directions[3 * i + 2]!)
    if (i % 32 === 0) yield { fraction: 0.06 + (0.24 * i) / count, label: 'pull search' }
  }

  const budget = Math.max(LEAST_EVALUATIONS, Math.floor(BUDGET / Math.max(1, facetCount(mesh))))
  const found: PullCandidate[] = []
  let evaluated = 0
  const look = function* (pull: Direction): Steps<PullCandidate> {
    evaluated++
    const candidate = yield* evaluate(mesh, shape, neighbours, pull)
    found.push(candidate)
    return candidate
  }
  // The direction of most draft, if every facet can face one: no spiral hits it exactly.
  const all = Uint32Array.from({ length: facetCount(mesh) }, (_, f) => f)
  const roomy = mirror ? null : ownPull(shape.normals, all)
  yield 0.3
  let best = Infinity
  if (roomy && roomy.pull[0] * around[0] + roomy.pull[1] * around[1] + roomy.pull[2] * around[2] > 0)
    best = (yield* within(0.3, 0.32, 'pull search', look(roomy.pull))).locked_mm2

  const order = Array.from({ length: count }, (_, i) => i).sort((a, b) => locked[a]! - locked[b]! || a - b)
  let complete = true
  for (const i of order) {
    if (locked[i]! >= best) break
    if (evaluated >= budget) {
      complete = false
      break
    }
    const share = evaluated / budget
    const pull: Direction = [directions[3 * i]!, directions[3 * i + 1]!, directions[3 * i + 2]!]
    const candidate = yield* within(0.32 + 0.4 * share, 0.32 + 0.4 * share, 'pull search', look(pull))
    locked[i] = candidate.locked_mm2
    boundOnly[i] = 0
    if (candidate.locked_mm2 < best) best = candidate.locked_mm2
  }

  found.sort(better)
  let top = found[0]!
  // Half the distance of two directions of the spiral (equal areas of 2π / count), or of the half circle.
  let step = mirror ? Math.PI / Math.max(1, count - 1) / 2 : Math.sqrt((2 * Math.PI) / count) / 2
  for (let round = 0; round < ROUNDS && top.locked_mm2 > 0; round++) {
    for (const pull of nearby(top.pull, mirror, step)) {
      const candidate = yield* within(0.75 + 0.05 * round, 0.8 + 0.05 * round, 'pull search', look(pull))
      if (better(candidate, top) < 0) top = candidate
    }
    step /= 2
  }
  found.sort(better)
  const distinct: PullCandidate[] = []
  for (const c of found) {
    if (distinct.length >= wanted) break
    const same = distinct.some(({ pull: p }) => p[0] * c.pull[0] + p[1] * c.pull[1] + p[2] * c.pull[2] > SAME_COS)
    if (!same) distinct.push(c)
  }
  return { directions, locked_mm2: locked, boundOnly, best: distinct, evaluated, complete }
}

function better(a: PullCandidate, b: PullCandidate): number {
  return a.locked_mm2 - b.locked_mm2 || b.leastSine - a.leastSine
}

function* evaluate(mesh: Mesh, shape: FacetShape, neighbours: Adjacency, pull: Direction): Steps<PullCandidate> {
  const view = yield* within(0, 0.1, 'pull search', planView(mesh, pull))
  const side = yield* within(0.1, 0.15, 'pull search', facetSides(view))
  const { facingAway_mm2, blocked_mm2 } = yield* within(
    0.15,
    1,
    'pull search',
    lockedShares(view, side, shape, neighbours),
  )
  const { normals } = shape
  let leastSine = 1
  for (let f = 0; f < normals.length; f += 3)
    leastSine = Math.min(leastSine, normals[f]! * pull[0] + normals[f + 1]! * pull[1] + normals[f + 2]! * pull[2])
  return { pull, facingAway_mm2, blocked_mm2, locked_mm2: facingAway_mm2 + blocked_mm2, leastSine }
}

/** Six directions round one, or two in the plane across `mirror`, at `step` (a small angle, radians). */
function nearby(pull: Direction, mirror: Direction | null, step: number): Direction[] {
  const out: Direction[] = []
  if (mirror) {
    const side: Direction = [
      mirror[1] * pull[2] - mirror[2] * pull[1],
      mirror[2] * pull[0] - mirror[0] * pull[2],
      mirror[0] * pull[1] - mirror[1] * pull[0],
    ]
    for (const s of [step, -step])
      out.push(unitPull([pull[0] + s * side[0], pull[1] + s * side[1], pull[2] + s * side[2]]))
    return out
  }
  const { u, v } = acrossPull(pull)
  for (const deg of [0, 60, 120]) {
    const a = step * cosDeg(deg)
    const b = step * sinDeg(deg)
    for (const sign of [1, -1])
      out.push(
        unitPull([
          pull[0] + sign * (a * u[0] + b * v[0]),
          pull[1] + sign * (a * u[1] + b * v[1]),
          pull[2] + sign * (a * u[2] + b * v[2]),
        ]),
      )
  }
  return out
}
