/**
 * Registration: the rigid motion that lays one mesh on another of the same metal (a second scan on the first, a part as made
 * on the part as drawn). Coarse from picked pairs or from the shapes' own axes, then trimmed point-to-plane matching until
 * it stands still.
 */
import { adjacency, RIM } from './adjacency'
import { IDENTITY, invertRigid, type Matrix4, multiply, transformPoint } from './axes'
import { bestMotion } from './best-motion'
import { type Steps, within } from './kernel'
import { type MatchRule, type MatchStep, matchSurface, motionAbout, type SurfaceMatch } from './match-surface'
import { facetShape } from './measure'
import { type Mesh, vertexCount } from './mesh'
import { asinDeg, square } from './portable-math'
import { shapeStarts } from './shape-starts'
import { type SurfacePlaces, surfacePlaces } from './surface-places'
import { symmetricEigen } from './symmetric-eigen'
import { buildTriangleTree } from './triangle-tree'
import { Refused } from './trouble'
import { vertexSurface } from './vertex-surface'
import { weightedQuantile } from './weighted-quantile'

export interface PickedPair {
  /** On the moving mesh, its axes, mm. */
  readonly moving: readonly [number, number, number]
  /** The same spot on the standing mesh, its axes, mm. */
  readonly standing: readonly [number, number, number]
}

export interface RegisterOptions {
  /**
   * Where to begin: `near`: as they stand; `shape`: by the principal axes of both; `any`: whichever of these fits best;
   * or three picked pairs and more.
   */
  readonly start: 'near' | 'shape' | 'any' | { readonly pairs: readonly PickedPair[] }
  /** What a user calls the two, for sentences. */
  readonly names?: { readonly moving: string; readonly standing: string }
  /** The widest that common metal may stand apart at the end, mm; default 10. */
  readonly reach_mm?: number
  /** Least share of the moving surface that must meet the standing one; default 0.1. */
  readonly leastOverlap?: number
}

export interface Registration {
  /** Moving mesh's axes to the standing one's. */
  readonly motion: Matrix4
  readonly from: 'near' | 'shape' | 'pairs'
  /** Distances of the moving surface from the standing one over the overlap, nothing trimmed, mm. */
  readonly rms_mm: number
  readonly p95_mm: number
  /** Share of the moving surface's area that meets the standing one within the reach. */
  readonly overlap: number
  /** Least eigenvalue of the normal matrix (turns times the arm of the overlap): how firmly the weakest freedom is held. */
  readonly held: number
  /** How far two disjoint samples of the surface disagree: the motion's own uncertainty. */
  readonly spread: { readonly shift_mm: number; readonly turn_deg: number }
  readonly rounds: number
  /** False: still moving by more than `STILL_mm` a round at the end. */
  readonly settled: boolean
  /** What was left at the picked pairs, mm; `null` without pairs. */
  readonly pairs_mm: number | null
}

const COARSE_PLACES = 3000
const FINE_PLACES = 24_000
/** Reaches of the coarse rounds, mm, as far as they are wider than the final one. */
const COARSE_REACH = [150, 80, 40, 20] as const
const COARSE_ROUNDS = 12
const REACH_mm = 10
const ROUNDS = 80
/** A round that moves no place of the overlap further than this ends the matching, mm. */
const STILL_mm = 0.001
/**
 * Principal axes mean something only where both meshes show nearly the same metal: two halves of a frame that looks alike
 * fore and aft were laid on each other the wrong way round, with a fair residual. Least share of either that must meet.
 */
const SHAPE_OVERLAP = 0.7
/** Another pose that meets this share of what the best one meets is as good: the shape does not tell. */
const AS_GOOD = 0.95
/** Eigenvalues below this are tried by a push; see `openFreedoms`. */
const DOUBTFUL = 0.06
/** Below this it is open whatever a push says: two balls cut into the same facets lock by their facets alone (0.0003). */
const HELD_BY_NOTHING = 1e-3
const PUSH_mm = 4
const SEED = 20_111

/**
 * Lays `moving` on `standing`; both must be the same metal at least in part, facets turned outwards, mm.
 *
 * @throws Refused `register-unclear`: too little overlap, a fit no better than chance, two poses that fit alike, a common
 *   surface that leaves a freedom open (a plane slides and turns, a ball turns, a straight tube turns and slides), or picks
 *   that settle nothing
 * @example const { motion, rms_mm } = drain(register(second, first, { start: 'any' }))
 */
export function* register(moving: Mesh, standing: Mesh, options: RegisterOptions): Steps<Registration> {
  const { start } = options
  const names = options.names ?? { moving: 'the second mesh', standing: 'the first' }
  const reach = options.reach_mm ?? REACH_mm
  const picked =
    typeof start === 'object' ? bestMotion(flat(start.pairs, 'moving'), flat(start.pairs, 'standing')) : null
  const tree = yield* within(0, 0.15, 'search tree', buildTriangleTree(standing))
  const { normals: facing } = yield* within(0.15, 0.17, 'normals', facetShape(standing))
  const rimVertex = yield* within(0.17, 0.25, 'rims', rimOf(standing))
  const coarsePlaces = yield* within(0.25, 0.28, 'samples', surfacePlaces(moving, COARSE_PLACES, SEED))
  const places = yield* within(0.28, 0.32, 'samples', surfacePlaces(moving, FINE_PLACES, SEED + 1))
  if (places.points.length === 0) throw new Error('geometry: a mesh without area cannot be registered')
  const on = (some: SurfacePlaces): SurfaceMatch => ({
    places: some,
    tree,
    facing,
    rimVertex,
    partner: new Int32Array(some.points.length / 3).fill(-1),
  })

  const begin: { motion: Matrix4; from: Registration['from']; widest: number }[] = []
  if (picked) begin.push({ motion: picked.motion, from: 'pairs', widest: 40 })
  if (start === 'near' || start === 'any') begin.push({ motion: IDENTITY, from: 'near', widest: 80 })
  // Area of the moving mesh in units of the standing one's: turns a share of the one into a share of the other.
  let areas = 1
  if (start === 'shape' || start === 'any') {
    const a = yield* within(0.32, 0.34, 'axes', vertexSurface(moving))
    const b = yield* within(0.34, 0.36, 'axes', vertexSurface(standing))
    areas = a.area_mm2 / b.area_mm2
    for (const motion of shapeStarts(moving, a, standing, b)) begin.push({ motion, from: 'shape', widest: 150 })
  }
  const coarse: { motion: Matrix4; from: Registration['from']; met: number }[] = []
  for (const [i, { motion, from, widest }] of begin.entries()) {
    const low = 0.36 + (0.3 * i) / begin.length
    const high = 0.36 + (0.3 * (i + 1)) / begin.length
    const found = yield* within(low, high, 'coarse fit', approach(on(coarsePlaces), motion, widest, reach))
    if (!found) continue
    if (from === 'shape' && Math.min(found.matched, found.matched * areas) < SHAPE_OVERLAP) continue
    coarse.push({ motion: found.motion, from, met: 1 - found.score_mm / reach })
  }
  coarse.sort((a, b) => b.met - a.met)
  const best = coarse[0]
  if (!best) throw nothingInCommon(names)
  const far = reachOfPlaces(coarsePlaces)
  const rival = coarse.find((c) => c.met >= AS_GOOD * best.met && apart_mm(c.motion, best.motion, far) > 3 * reach)
  if (rival)
    throw new Refused(
      'register-unclear',
      `${names.moving} fits ${names.standing} nearly as well in another pose; pick three pairs of places that are the same on both.`,
    )

  const match = on(places)
  const whole: MatchRule = { reach_mm: reach, cosine: 0.7, keep: 0.9, parts: 1, part: 0 }
  const fine = yield* within(0.66, 0.85, 'fine fit', untilStill(match, best.motion, whole, ROUNDS))
  if (!fine) throw nothingInCommon(names)
  const size = fine.distance.map(Math.abs)
  const median = weightedQuantile(size, null, 0.5)
  const leastOverlap = options.leastOverlap ?? 0.1
  if (fine.matched < leastOverlap || median > 0.3 * reach)
    throw new Refused(
      'register-unclear',
      `${names.moving} does not fit ${names.standing}: ${Math.round(100 * fine.matched)} % of its surface comes within ${reach} mm of it, half of that no nearer than ${median.toFixed(1)} mm; pick three pairs of places that are the same on both, or check that both show the same metal.`,
    )
  const open = yield* within(0.85, 0.92, 'freedoms', openFreedoms(on(coarsePlaces), fine, whole))
  if (open.length > 0)
    throw new Refused(
      'register-unclear',
      `The surface that ${names.moving} has in common with ${names.standing} leaves ${open.length === 1 ? 'one freedom' : `${open.length} freedoms`} open (a plane slides and turns, a ball turns, a straight tube turns and slides); scan more of the same metal in both.`,
    )
  const halves: Matrix4[] = []
  for (const part of [0, 1]) {
    const half = yield* within(0.92, 0.99, 'spread', untilStill(match, fine.motion, { ...whole, parts: 2, part }, 12))
    if (half) halves.push(half.motion)
  }
  let squares = 0
  let number = 0
  for (const d of size)
    if (!Number.isNaN(d)) {
      squares += d * d
      number++
    }
  return {
    motion: fine.motion,
    from: best.from,
    rms_mm: Math.sqrt(squares / number),
    p95_mm: weightedQuantile(size, null, 0.95),
    overlap: fine.matched,
    held: symmetricEigen(fine.normalMatrix, 6).values[0]!,
    spread: spreadOf(halves, fine.middle),
    rounds: fine.rounds,
    settled: fine.moved_mm < STILL_mm * 10,
    pairs_mm: picked ? picked.largest_mm : null,
  }
}

const flat = (pairs: readonly PickedPair[], side: 'moving' | 'standing'): number[] => pairs.flatMap((p) => [...p[side]])

const nothingInCommon = (names: { moving: string; standing: string }): Refused =>
  new Refused(
    'register-unclear',
    `No surface of ${names.moving} comes near ${names.standing}; pick three pairs of places that are the same on both.`,
  )

function* rimOf(mesh: Mesh): Steps<Uint8Array> {
  const { indices } = mesh
  const { across } = yield* adjacency(indices, vertexCount(mesh))
  const rim = new Uint8Array(vertexCount(mesh))
  for (let h = 0; h < across.length; h++)
    if (across[h] === RIM) {
      rim[indices[h]!] = 1
      rim[indices[h % 3 === 2 ? h - 2 : h + 1]!] = 1
    }
  return rim
}

/** Rounds with a shrinking reach; null when the surfaces never meet. Scored at the final reach, so that all compare. */
function* approach(match: SurfaceMatch, start: Matrix4, widest: number, reach: number): Steps<MatchStep | null> {
  let motion = start
  for (const reach_mm of [...COARSE_REACH.filter((r) => r <= widest && r > reach), reach]) {
    const rule: MatchRule = { reach_mm, cosine: 0.5, keep: 0.8, parts: 1, part: 0 }
    for (let round = 0; round < COARSE_ROUNDS; round++) {
      const step = matchSurface(match, motion, rule)
      yield round / COARSE_ROUNDS
      if (!step) break
      motion = step.motion
      if (step.moved_mm < 0.01 * reach_mm) break
    }
  }
  return matchSurface(match, motion, { reach_mm: reach, cosine: 0.5, keep: 0.8, parts: 1, part: 0 })
}

function* untilStill(
  match: SurfaceMatch,
  start: Matrix4,
  rule: MatchRule,
  most: number,
): Steps<(MatchStep & { readonly rounds: number }) | null> {
  let motion = start
  let last: MatchStep | null = null
  let rounds = 0
  while (rounds < most) {
    const step = matchSurface(match, motion, rule)
    rounds++
    yield rounds / most
    if (!step) return null
    motion = step.motion
    last = step
    if (step.moved_mm < STILL_mm) break
  }
  return last && { ...last, rounds }
}

/**
 * Which freedoms the common surface leaves open, after N. Gelfand et al., "Geometrically stable sampling for the ICP
 * algorithm", 2003: small eigenvalues of the normal matrix. Noise in the normals gives a plane eigenvalues of its own
 * (about 0.01 with 0.3 mm on 4 mm edges), more than some honest frame has; hence each doubtful one is tried: the mesh is
 * pushed that way, and where the matching does not bring it back by half, nothing holds it.
 *
 * @returns numbers of the open eigenvectors
 */
function* openFreedoms(match: SurfaceMatch, at: MatchStep, rule: MatchRule): Steps<number[]> {
  const { values, vectors } = symmetricEigen(at.normalMatrix, 6)
  const open: number[] = []
  for (let e = 0; e < 6; e++) {
    if (values[e]! >= DOUBTFUL) continue
    if (values[e]! < HELD_BY_NOTHING) {
      open.push(e)
      continue
    }
    const way = vectors.subarray(6 * e, 6 * e + 6).map((v) => PUSH_mm * v)
    let motion = multiply(motionAbout(at.middle, at.arm_mm, way), at.motion)
    for (let round = 0; round < 16; round++) {
      const step = matchSurface(match, motion, rule)
      yield (e + round / 16) / 6
      if (!step) break
      motion = step.motion
      if (step.moved_mm < 0.01) break
    }
    if (pushLeft(multiply(motion, invertRigid(at.motion)), at, way) > 0.5) open.push(e)
  }
  return open
}

/** The share of a push that a motion still holds, along the push. */
function pushLeft(left: Matrix4, at: MatchStep, way: ArrayLike<number>): number {
  const moved = transformPoint(left, at.middle)
  // Turn about each axis from the antisymmetric part, as lengths at the arm.
  const turn = [
    ((left[9]! - left[6]!) / 2) * at.arm_mm,
    ((left[2]! - left[8]!) / 2) * at.arm_mm,
    ((left[4]! - left[1]!) / 2) * at.arm_mm,
  ]
  let along = 0
  let whole = 0
  for (let k = 0; k < 3; k++) {
    along += turn[k]! * way[k]! + (moved[k]! - at.middle[k]!) * way[k + 3]!
    whole += way[k]! * way[k]! + way[k + 3]! * way[k + 3]!
  }
  return along / whole
}

function spreadOf(halves: readonly Matrix4[], middle: readonly [number, number, number]): Registration['spread'] {
  const [a, b] = halves
  if (!a || !b) return { shift_mm: 0, turn_deg: 0 }
  const between = multiply(b, invertRigid(a))
  const moved = transformPoint(between, middle)
  return {
    shift_mm: Math.sqrt(middle.reduce((sum, v, k) => sum + square(moved[k]! - v), 0)),
    turn_deg: turnOf_deg(between),
  }
}

/** Angle of a motion's turn, degrees: good for small ones, where an arc cosine of the trace would be all rounding. */
export function turnOf_deg(m: Matrix4): number {
  const x = (m[9]! - m[6]!) / 2
  const y = (m[2]! - m[8]!) / 2
  const z = (m[4]! - m[1]!) / 2
  const sine = Math.sqrt(x * x + y * y + z * z)
  const angle = asinDeg(Math.min(1, sine))
  return m[0]! + m[5]! + m[10]! >= 1 ? angle : 180 - angle
}

function reachOfPlaces({ points }: SurfacePlaces): readonly (readonly [number, number, number])[] {
  const low = [Infinity, Infinity, Infinity]
  const high = [-Infinity, -Infinity, -Infinity]
  for (let i = 0; i < points.length; i++) {
    const k = i % 3
    low[k] = Math.min(low[k]!, points[i]!)
    high[k] = Math.max(high[k]!, points[i]!)
  }
  return [0, 1, 2, 3].map((c) => [c & 1 ? high[0]! : low[0]!, c & 2 ? high[1]! : low[1]!, low[2]!] as const)
}

/** The most that two motions disagree at some corners of the mesh, mm. */
function apart_mm(a: Matrix4, b: Matrix4, corners: readonly (readonly [number, number, number])[]): number {
  let most = 0
  for (const corner of corners) {
    const p = transformPoint(a, corner)
    const q = transformPoint(b, corner)
    most = Math.max(most, Math.sqrt(square(p[0] - q[0]) + square(p[1] - q[1]) + square(p[2] - q[2])))
  }
  return most
}
