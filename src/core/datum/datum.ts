import { meanPlane, type Tube } from '../frame'
import { invertRigid, type Matrix4, transformDirection, transformPoint } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { transformMesh } from '../geometry/mesh'
import { mirrorError } from '../geometry/mirror-error'
import { atanDeg } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'
import { cross, dot, plus, scaled, unit, type Vec } from '../geometry/vectors'
import { type VertexSurface, vertexSurface } from '../geometry/vertex-surface'
import { type ChosenPlane, choosePlane } from './choose-plane'
import { datumFindings } from './datum-findings'
import { drawTubes, type Metal } from './draw-tubes'
import { findMirrors, isClear } from './find-mirror'
import { heightsAlong, type Level, type LevelPlane, level } from './level'
import { manualPose } from './manual-pose'
import { CAP_mm } from './mirror-match'
import { CHECK, type MirrorPlane, type MirrorSource, mirrorPlane, spreadOf, TOLD_LEAST } from './mirror-plane'
import { type MirrorPose, overturnedPose, poseAbout, turnedPose } from './mirror-pose'
import { pickedPose, settleAll } from './picked-pose'
import { type Place, placeOrigin } from './place-origin'
import { tubeMirror, tubeStations } from './tube-mirror'
import { rimOf, tubePairs } from './tube-pairs'
import type { DatumPicks, DatumRequest, DatumResult, DatumSetting, PickResiduals } from './types'

/** Fixed: the same scan gives the same datum. */
const SEED = 20_011

const DEG = 180 / Math.PI

/** The surface about its middle by area, where offset and angles of a plane decouple. */
interface Centred {
  readonly surface: VertexSurface
  /** Three per vertex, mm about `middle`. */
  readonly points: Float32Array
  /** Middle by area, scan axes. */
  readonly middle: Vec
}

interface Posed {
  readonly motion: Matrix4
  readonly plane: MirrorPlane
  readonly planeFrom: DatumResult['planeFrom']
  readonly place: Place
  readonly level: Level | null
  readonly choice: ChosenPlane | null
  /** How far the plane from points lies from the plane from tubes; null where only one was asked. */
  readonly check: MirrorPlane['spread'] | null
  readonly picked?: PickResiduals
}

/**
 * Turns the scan into job axes: x forward, y to port, z up, the centreline plane y = 0, z = 0 at the mean height of the top
 * metal, x = 0 in the middle of the frame's box.
 *
 * @throws Refused `datum-unclear` when no plane can be found at all; `setting-impossible` for a typed matrix that is no rigid motion,
 *   or for picks that settle nothing
 */
export function* datumStep(request: DatumRequest): Steps<DatumResult> {
  const { mesh, setting, rimVertex } = request
  const surface = yield* within(0, 0.05, 'normals', vertexSurface(mesh))
  const centred = centre(request, surface)
  const posed =
    setting.matrix !== 'auto'
      ? yield* byHand(centred, manualPose(setting.matrix))
      : setting.picks
        ? yield* byPicks(request, centred, setting.picks)
        : yield* automatic(request, centred)
  const { motion, plane, place } = posed
  const moved = transformMesh(mesh, motion, 'job')
  yield { fraction: 0.55, label: 'mirror error' }
  const level0 = { normal: [0, 1, 0], offset_mm: 0 } as const
  const mirrored = yield* within(
    0.55,
    0.99,
    'mirror error',
    mirrorError(moved, level0, { rimVertex, surface: turned(surface, motion) }),
  )
  const { pose } = plane
  const half = place.halfWidth_mm
  const slope = slopeAtMiddle(pose, place)
  const lowered = {
    port_mm: -slope * half,
    halfWidth_mm: half,
    roll_deg: atanDeg(slope) / 2,
    told: plane.told,
    canBeTold: plane.told >= TOLD_LEAST,
  }
  const result: Omit<DatumResult, 'findings'> = {
    motion,
    mesh: moved,
    symmetry: mirrored.error,
    symmetryField: mirrored.field,
    lowered,
    uncertainty: {
      offset_mm: plane.spread.offset_mm,
      roll_deg: plane.spread.roll * DEG,
      yaw_deg: plane.spread.yaw * DEG,
      lowered_mm: plane.spread.slope * half,
    },
    twist_mm: (-pose.twist * half * place.halfLength_mm) / 2,
    planeFrom: posed.planeFrom,
    ...(posed.picked ? { picked: posed.picked } : {}),
    matched: plane.matched,
    pairs: tubePairs(request.tubes ?? [], motion),
    pitch: {
      from: posed.picked?.level_mm != null ? 'picked places' : (posed.level?.from ?? 'typed matrix'),
      runnerUp: posed.level?.runnerUp ?? 'none',
      difference_deg: posed.level?.difference_deg ?? 0,
    },
    score_mm: posed.choice?.plane.score_mm ?? plane.score_mm,
    runnerUpScore_mm: posed.choice?.runnerUp?.score_mm ?? CAP_mm,
  }
  const findings = datumFindings(result, setting, posed, invertRigid(motion))
  return { ...result, findings }
}

function centre({ mesh }: DatumRequest, surface: VertexSurface): Centred {
  const { positions, origin } = mesh
  const [cx, cy, cz] = surface.centroid
  const points = new Float32Array(positions.length)
  for (let i = 0; i < points.length; i += 3) {
    points[i] = positions[i]! - cx
    points[i + 1] = positions[i + 1]! - cy
    points[i + 2] = positions[i + 2]! - cz
  }
  return { surface, points, middle: [origin[0] + cx, origin[1] + cy, origin[2] + cz] }
}

function* automatic(request: DatumRequest, { surface, points, middle }: Centred): Steps<Posed> {
  const { normals, area } = surface
  const scan: Metal = { points, normals, area }
  const drawn = drawTubes(request.tubes ?? [], middle)
  const first = drawn && (yield* within(0.05, 0.2, 'looking for the centreline', lookFor(drawn, false)))
  // Tubes leave it open when there are few of them or a part of the frame is missing: then all metal is asked.
  const clear = first?.choice && !first.choice.unsure && first.clear ? first : null
  const { metal, found, choice } = clear ?? (yield* within(0.2, 0.3, 'looking for the centreline', lookFor(scan, true)))
  if (!choice)
    throw new Refused(
      'datum-unclear',
      'datum: no plane about which this scan could be symmetric was found; check that the whole frame is in the scan, or type the matrix',
    )
  const others = found.candidates.filter((c) => c !== choice.plane)
  yield { fraction: 0.3, label: 'level' }
  const ring = longestClosed(request.tubes ?? [])
  const steady = level(metal.points, metal.area, choice.plane, others, ring && ringPlane(ring))
  const start = poseAbout(choice.plane.pose.normal, choice.plane.pose.offset_mm, steady.up, 0)
  const source = { points, normals, area, farEnd_mm: farEnd(points) }
  const { plane, planeFrom, check } = yield* within(
    0.3,
    0.5,
    'centreline plane',
    finalPlane(request, source, start, middle),
  )
  if (!plane)
    throw new Refused(
      'datum-unclear',
      'datum: the two sides of this scan share too little metal for a centreline plane; crop what does not belong to the frame, or type the matrix',
    )
  const { pose, place } = byWord(points, area, plane.pose, request.setting, ring, middle)
  yield { fraction: 0.53, label: 'axes' }
  const motion = motionOf(pose, place, middle, request.setting.reading)
  return { motion, plane: { ...plane, pose }, planeFrom, place, level: steady, choice, check }
}

function* lookFor(metal: Metal, thoroughly: boolean) {
  const found = yield* findMirrors(metal.points, metal.normals, metal.area, SEED, thoroughly)
  return { metal, found, choice: choosePlane(found), clear: isClear(found.candidates) }
}

/** From tube axes where they carry it, with a thin sample of points as a check; else from points. */
function* finalPlane(request: DatumRequest, source: MirrorSource, start: MirrorPose, middle: Vec) {
  const tubes = request.tubes ?? []
  const fromTubes = tubes.length > 0 ? yield* tubeMirror(tubeStations(tubes, middle), start, source.farEnd_mm) : null
  if (!fromTubes) return { plane: yield* mirrorPlane(source, start, SEED), planeFrom: 'points' as const, check: null }
  yield 0.1
  const points = yield* within(
    0.1,
    1,
    'centreline plane',
    mirrorPlane(source, fromTubes.pose, SEED, 'plane-and-slope', CHECK),
  )
  // How much metal has a partner is a question for points: tubes are only part of it.
  const matched = points?.matched ?? fromTubes.matched
  return {
    plane: { ...fromTubes, matched },
    planeFrom: 'tubes' as const,
    check: points && spreadOf([fromTubes.pose, points.pose]),
  }
}

function longestClosed(tubes: readonly Tube[]): Tube | null {
  return tubes.filter((t) => t.closed).sort((a, b) => b.length_mm - a.length_mm)[0] ?? null
}

function ringPlane(ring: Tube): LevelPlane {
  const places = Array.from(
    { length: ring.axis.length / 3 },
    (_, i): Vec => [ring.axis[3 * i]!, ring.axis[3 * i + 1]!, ring.axis[3 * i + 2]!],
  )
  return { normal: meanPlane(places).normal, name: `plane of the closed ${ring.id.replace('-', ' ')}` }
}

/** Only the lowered side is measured: the plane is the user's. */
function* byHand({ surface, points, middle }: Centred, motion: Matrix4): Steps<Posed> {
  const { normals, area } = surface
  const back = invertRigid(motion)
  const normal = transformDirection(back, [0, 1, 0])
  const up = transformDirection(back, [0, 0, 1])
  const at = transformPoint(motion, [middle[0], middle[1], middle[2]])
  const start = poseAbout(normal, -at[1], up, 0)
  const source = { points, normals, area, farEnd_mm: farEnd(points) }
  const plane = (yield* within(0.1, 0.5, 'lowered side', mirrorPlane(source, start, SEED, 'slope'))) ?? {
    pose: start,
    told: 1,
    spread: { offset_mm: 0, roll: 0, yaw: 0, slope: Number.NaN },
    matched: 0,
    score_mm: CAP_mm,
    rounds: 0,
  }
  const place = placeOf(points, area, plane.pose)
  return { motion, plane, planeFrom: 'matrix', place, level: null, choice: null, check: null }
}

/** What was picked is the user's; the rest is found, and not asked for where the picks settle all. */
function* byPicks(request: DatumRequest, centred: Centred, picks: DatumPicks): Steps<Posed> {
  const found = settleAll(picks) ? null : yield* within(0, 0.8, 'axes', automatic(request, centred))
  const { port, offset_mm, up, residuals } = pickedPose(picks, found?.motion ?? null)
  const { surface, points, middle } = centred
  const pose = poseAbout(port, offset_mm - dot(port, middle), up)
  const motion = motionOf(pose, placeOf(points, surface.area, pose), middle, 'plan-view')
  const posed = yield* within(0.8, 1, 'lowered side', byHand(centred, motion))
  return {
    ...posed,
    planeFrom: 'picks',
    level: picks.level.length > 0 ? null : (found?.level ?? null),
    picked: residuals,
  }
}

const forwardOf = (pose: MirrorPose): Vec => cross(pose.normal, pose.up)

function placeOf(points: Float32Array, area: Float32Array, pose: MirrorPose): Place {
  const port = heightsAlong(points, pose.normal).map((s) => s - pose.offset_mm)
  return placeOrigin(heightsAlong(points, forwardOf(pose)), port, heightsAlong(points, pose.up), area)
}

/**
 * Forward: nothing in the metal tells it. The automatic choice is the end away from the middle of the metal, so that the same
 * frame is read the same way in any pose; the user's word turns it round.
 */
function byWord(
  points: Float32Array,
  area: Float32Array,
  found: MirrorPose,
  setting: DatumSetting,
  ring: Tube | null,
  middle: Vec,
) {
  let pose = found
  let place = placeOf(points, area, pose)
  if (place.lean > 0 !== setting.forwardFlipped) {
    pose = turnedPose(pose)
    place = placeOf(points, area, pose)
  }
  if (setting.upFlipped) {
    pose = overturnedPose(pose)
    place = placeOf(points, area, pose)
  }
  if (ring) place = { ...place, ...rimOf(ring, forwardOf(pose), pose.normal, pose.up, middle) }
  return { pose, place }
}

/** Twist is measured about the middle of the metal and aft; the lowered side is asked at the middle of the frame. */
const slopeAtMiddle = (pose: MirrorPose, place: Place): number => pose.slope - pose.twist * place.x

/** Scan axes to job axes. `best-match`: rolled by half the slope about forward, so that the two sides level out. */
function motionOf(pose: MirrorPose, place: Place, middle: Vec, reading: DatumSetting['reading']): Matrix4 {
  const forward = forwardOf(pose)
  const origin = plus(plus(scaled(pose.normal, pose.offset_mm), pose.up, place.z), forward, place.x)
  const tilt = reading === 'best-match' ? slopeAtMiddle(pose, place) / 2 : 0
  const port = unit(plus(pose.normal, pose.up, tilt))
  const up = cross(forward, port)
  const at = plus(middle, origin)
  return [...forward, -dot(forward, at), ...port, -dot(port, at), ...up, -dot(up, at), 0, 0, 0, 1]
}

function farEnd(points: Float32Array): number {
  let most = 0
  for (let i = 0; i < points.length; i += 3) {
    const r2 = points[i]! * points[i]! + points[i + 1]! * points[i + 1]! + points[i + 2]! * points[i + 2]!
    if (r2 > most) most = r2
  }
  return Math.sqrt(most)
}

/** The same surface in job axes: areas stay, normals turn with the metal. */
function turned(surface: VertexSurface, motion: Matrix4): VertexSurface {
  const { normals } = surface
  const out = new Float32Array(normals.length)
  for (let i = 0; i < out.length; i += 3) {
    const x = normals[i]!
    const y = normals[i + 1]!
    const z = normals[i + 2]!
    out[i] = motion[0]! * x + motion[1]! * y + motion[2]! * z
    out[i + 1] = motion[4]! * x + motion[5]! * y + motion[6]! * z
    out[i + 2] = motion[8]! * x + motion[9]! * y + motion[10]! * z
  }
  return { ...surface, normals: out, centroid: transformPoint(motion, [...surface.centroid]) }
}
