/**
 * The owner's accessories, where they will live: each on its seat, its twin exact about the centreline, and the distances
 * to the frame and to each other.
 */
import type { Point } from '../geometry/axes'
import { compareMeshes } from '../geometry/compare-meshes'
import { type Steps, within } from '../geometry/kernel'
import { leastDistance } from '../geometry/least-distance'
import { bounds, type Mesh, transformMesh } from '../geometry/mesh'
import { tanDeg } from '../geometry/portable-math'
import { Remembered } from '../geometry/remembered'
import type { Finding } from '../geometry/trouble'
import { baseOutline } from './base-outline'
import { basePlane } from './base-plane'
import { edgeDistances } from './edge-distances'
import { checkFasteners } from './fasteners'
import { footprintOf } from './footprint'
import { checkRooms } from './keep-outs'
import { checkLights, type LightItem } from './lights'
import { mirroredPose, mirrorTwin } from './mirror-twin'
import { type NoVolume, partVolume } from './part-volume'
import { peopleCheck } from './people'
import { findSeat, poseOn, type Seat } from './place'
import { type PlanHeights, planHeights } from './plan-heights'
import { sharedVolume } from './shared-volume'
import type { BasePlane, FittingItem, FittingRequest, FittingResult, PlacedFitting, SharedSpace } from './types'
import { wirePlan } from './wires'

/** A base that rides higher than this over the shell wants a pad (common practice, no source). */
const ROCK_LIMIT_MM = 3
/** Distances to the frame are exact up to here, mm; a fitting further off is nowhere near. */
const FRAME_LIMIT_MM = 5000

export function* fittingStep(request: FittingRequest): Steps<FittingResult> {
  const { items, frame } = request
  const plans = {
    topside: yield* within(0, 0.05, 'heights of the topside', planHeights(request.topside)),
    underside: yield* within(0.05, 0.1, 'heights of the underside', planHeights(request.underside)),
  }
  const findings: Finding[] = []
  const placed: PlacedFitting[] = []
  for (const [i, item] of items.entries()) {
    const from = 0.1 + (0.6 * i) / items.length
    const each = 0.6 / items.length
    const base = yield* within(from, from + 0.3 * each, item.name, basePlane(item.mesh, item.baseNormal))
    const own = yield* within(from, from + each, item.name, place(item, base, plans[item.on], request))
    placed.push(own.fitting)
    findings.push(...partFindings(item, own.seat), ...seatFindings(item, own.seat, own.fitting, request.gap_mm))
    if (item.mirror)
      placed.push(
        yield* within(
          from,
          from + each,
          `${item.name}, twin`,
          placeTwin(item, own.fitting, base, plans[item.on], request),
        ),
      )
  }
  const distances_mm = new Float64Array(placed.length * placed.length)
  const shared: SharedSpace[] = []
  for (let a = 0; a < placed.length; a++)
    for (let b = a + 1; b < placed.length; b++) {
      yield { fraction: 0.7 + (0.1 * a) / placed.length, label: 'distances between fittings' }
      const least = yield* leastDistance(placed[a]!.mesh, placed[b]!.mesh, Infinity)
      distances_mm[a * placed.length + b] = least.distance_mm
      distances_mm[b * placed.length + a] = least.distance_mm
      if (least.distance_mm > 0) continue
      const space = yield* within(0.7, 0.8, 'what two fittings share', sharedBy(placed, a, b))
      shared.push(space)
      findings.push(clash(placed[a]!, placed[b]!, least.pointA, space))
    }
  const around = yield* within(0.8, 0.9, 'fasteners, rooms and edges', roundAbout(request, placed))
  const laid = wirePlan(request.wires, {
    placed,
    chases: request.chases,
    plans,
    tanDraft: tanDeg(request.draft_deg),
  })
  const { findings: ofPeople, ...people } = peopleCheck({
    people: request.people,
    lowest_mm: bounds(frame).min[2],
    underside: plans.underside,
    placed,
    handles: new Set(items.filter((i) => i.handle).map((i) => i.id)),
  })
  const { lights, findings: dark } = yield* within(0.9, 0.99, 'lights', lightsOf(request, placed))
  const { wires, fills } = laid
  const { edges, fasteners, rooms } = around
  const volumes = new Map<string, number | NoVolume>()
  for (const { id, name, mesh } of items) volumes.set(id, yield* within(0.99, 1, `volume of ${name}`, partVolume(mesh)))
  const bodies = placed.map((p) => {
    const { borders, toJob } = baseOutline(p)
    const lines = borders.map((border) => border.map((at) => inJob(toJob(at))))
    const { id, mesh } = items.find((i) => i.id === p.id)!
    return { size_mm: sizeOf(mesh), borders: lines, volume: volumes.get(id)! }
  })
  return {
    placed,
    distances_mm,
    shared,
    edges,
    bodies,
    fasteners,
    rooms,
    lights,
    people,
    wires,
    fills,
    findings: [...findings, ...around.findings, ...dark, ...laid.findings, ...ofPeople],
  }
}

/** Nearer than this is contact, mm. */
const CONTACT_MM = 0.1

function* sharedBy(placed: readonly PlacedFitting[], a: number, b: number): Steps<SharedSpace> {
  const [one, other] = [placed[a]!.mesh, placed[b]!.mesh]
  const both = yield* within(0, 0.5, 'what two fittings share', sharedVolume(one, other))
  const { contact } = yield* within(0.5, 1, 'what two fittings share', compareMeshes(one, other, CONTACT_MM))
  return {
    a,
    b,
    volume_mm3: both?.volume_mm3 ?? null,
    doubt_mm3: both?.doubt_mm3 ?? null,
    contact_mm2: contact.area_mm2,
  }
}

/** What each fitting has around it besides metal and its fellows. */
function* roundAbout({ items, frame, topside, underside, shells, tubes }: FittingRequest, placed: PlacedFitting[]) {
  const itemOf = (p: PlacedFitting) => items.find((i) => i.id === p.id)!
  const edges = yield* within(
    0,
    0.3,
    'edges',
    edgeDistances(placed, {
      topside: { face: topside, joint: shells.topside.joint },
      underside: { face: underside, joint: shells.underside.joint },
    }),
  )
  const bolted = yield* within(
    0.3,
    0.6,
    'fasteners',
    checkFasteners(
      placed.map((p) => ({ placed: p, settings: itemOf(p).fasteners })),
      { solids: { topside: shells.topside.solid, underside: shells.underside.solid }, frame, tubes },
    ),
  )
  const called = (p: PlacedFitting) => (p.twin ? `${p.name} (twin)` : p.name)
  const kept = yield* within(
    0.6,
    1,
    'rooms',
    checkRooms(
      placed.map((p) => ({ placed: p, rooms: itemOf(p).keepOuts })),
      [
        { name: 'the frame', mesh: frame, of: null },
        { name: 'the topside', mesh: topside, of: null },
        { name: 'the inner surface', mesh: underside, of: null },
        ...placed.map((p) => ({ name: called(p), mesh: p.mesh, of: p })),
      ],
    ),
  )
  const { fasteners } = bolted
  return { edges, fasteners, rooms: kept.rooms, findings: [...bolted.findings, ...kept.findings] }
}

function lightsOf({ items, frame, topside, underside, vessel }: FittingRequest, placed: readonly PlacedFitting[]) {
  const lit = placed.flatMap((p): LightItem[] => {
    const item = items.find((i) => i.id === p.id)
    if (!item?.light) return []
    const { kind } = item.light
    if (kind === 'deck') return []
    return [{ placed: p, light: { ...item.light, kind }, mirrored: p.twin && item.mirror === 'geometry' }]
  })
  const others = [
    { name: 'the topside itself', mesh: topside },
    { name: 'the inner surface', mesh: underside },
    { name: 'the frame', mesh: frame },
  ]
  return checkLights(lit, placed, others, vessel)
}

function* place(
  item: FittingItem,
  base: BasePlane,
  shell: PlanHeights,
  request: FittingRequest,
): Steps<{ fitting: PlacedFitting; seat: Seat }> {
  const seat = findSeat(shell, footprintOf(item.mesh, base), item)
  const pose = poseOn(seat, base, item.turn_deg)
  const mesh = posed(item, pose, request)
  return { seat, fitting: yield* finished(item, false, pose, mesh, base, seat, request.frame) }
}

/** Parts in the poses of the last plan: one that was not moved is the same object again, with its search tree and its distances. */
const standing = new Remembered<Mesh<'job'>>()

function posed({ mesh }: FittingItem, pose: PlacedFitting['pose'], { items }: FittingRequest): Mesh<'job'> {
  const key = pose.join(' ')
  const copies = items.reduce((n, i) => n + (i.mesh === mesh ? (i.mirror === 'position' ? 2 : 1) : 0), 0)
  return standing.get(mesh, key) ?? standing.set(mesh, key, transformMesh(mesh, pose, 'job'), copies)
}

function* placeTwin(
  item: FittingItem,
  own: PlacedFitting,
  base: BasePlane,
  shell: PlanHeights,
  request: FittingRequest,
): Steps<PlacedFitting> {
  const { frame } = request
  if (item.mirror === 'geometry') {
    const [x, y, z] = own.seat.at
    const [nx, ny, nz] = own.seat.normal
    const seat: Seat = { at: [x, -y, z], normal: [nx, -ny, nz], gap_mm: own.gapUnderBase_mm, onShell: true }
    return yield* finished(item, true, mirroredPose(own.pose), mirrorTwin(own.mesh), base, seat, frame)
  }
  const stand = { ...item, at_mm: [item.at_mm[0], -item.at_mm[1]] as const, turn_deg: -item.turn_deg }
  const seat = findSeat(shell, footprintOf(item.mesh, base), stand)
  const pose = poseOn(seat, base, stand.turn_deg)
  return yield* finished(item, true, pose, posed(item, pose, request), base, seat, frame)
}

function* finished(
  item: FittingItem,
  twin: boolean,
  pose: PlacedFitting['pose'],
  mesh: Mesh<'job'>,
  base: BasePlane,
  seat: Seat,
  frame: Mesh<'job'>,
): Steps<PlacedFitting> {
  const least = yield* leastDistance(mesh, frame, FRAME_LIMIT_MM)
  return {
    id: item.id,
    name: item.name,
    twin,
    on: item.on,
    pose,
    mesh,
    base,
    seat: { at: seat.at, normal: seat.normal },
    gapUnderBase_mm: seat.gap_mm,
    // Both meshes are in job axes, which the search does not know.
    toFrame: { min_mm: least.distance_mm, part: inJob(least.pointA), frame: inJob(least.pointB) },
  }
}

/** Longest sides that a fitting of a top is believed to have, mm (common practice, no source). */
const BELIEVED_MM = [15, 2500] as const
const PER_INCH = 25.4

/** What is amiss with the part itself: a size that a wrong unit makes, faces that its file lost. */
function partFindings(item: FittingItem, seat: Seat): Finding[] {
  const found: Finding[] = []
  const about = { step: 'fitting' as const, severity: 'warning' as const, where: seat.at }
  const longest = Math.max(...sizeOf(item.mesh))
  const [least, most] = BELIEVED_MM
  if (longest < least || longest > most) {
    const other = longest < least ? longest * PER_INCH : longest / PER_INCH
    const fits = other >= least && other <= most
    found.push({
      ...about,
      id: `fitting.size.${item.id}`,
      message: `${item.name} is ${round(longest)} mm long${fits ? `; ${longest < least ? 'read as inches it would be' : 'were its inches taken twice it would be'} ${round(other)} mm` : ''}.`,
      advice: 'Hold it against a ruler and say the unit of its file in the slip.',
      value: longest,
      limit: longest < least ? least : most,
      unit: 'mm',
    })
  }
  if (item.faces && item.faces.read < item.faces.stated)
    found.push({
      ...about,
      id: `fitting.faces.${item.id}`,
      message: `${item.name} came without ${item.faces.stated - item.faces.read} of the ${item.faces.stated} faces that its STEP file states.`,
      advice: 'Compare it with the drawing; save the file again, or take an STL of it.',
      value: item.faces.read,
      limit: item.faces.stated,
      unit: 'faces',
    })
  return found
}

function seatFindings(item: FittingItem, seat: Seat, fitting: PlacedFitting, gap_mm: number): Finding[] {
  const found: Finding[] = []
  const about = { step: 'fitting' as const, where: seat.at }
  if (!seat.onShell)
    found.push({
      ...about,
      id: `fitting.off.${item.id}`,
      severity: 'hold',
      message: `The base of ${item.name} does not lie wholly on the ${item.on}.`,
      advice: `Move it in from the edge; it stands at ${round(item.at_mm[0])}, ${round(item.at_mm[1])}.`,
    })
  if (seat.gap_mm > ROCK_LIMIT_MM)
    found.push({
      ...about,
      id: `fitting.rocks.${item.id}`,
      severity: 'warning',
      message: `${item.name} rides up to ${round(seat.gap_mm)} mm clear of the ${item.on} under its base.`,
      advice: 'Bed it on a pad, or put it where the top is flatter.',
      value: seat.gap_mm,
      limit: ROCK_LIMIT_MM,
      unit: 'mm',
    })
  const { min_mm, frame } = fitting.toFrame
  if (min_mm < gap_mm)
    found.push({
      ...about,
      id: `fitting.frame.${item.id}`,
      severity: min_mm === 0 ? 'hold' : 'warning',
      message:
        min_mm === 0
          ? `${item.name} goes into the frame.`
          : `${item.name} comes within ${round(min_mm)} mm of the frame; ${round(gap_mm)} mm is asked.`,
      advice: 'Move it, or put it on the other side of the top.',
      where: frame,
      value: min_mm,
      limit: gap_mm,
      unit: 'mm',
    })
  return found
}

function clash(
  a: PlacedFitting,
  b: PlacedFitting,
  where: readonly [number, number, number],
  { volume_mm3 }: SharedSpace,
): Finding {
  const call = (f: PlacedFitting) => (f.twin ? `${f.name} (twin)` : f.name)
  return {
    id: `fitting.clash.${a.id}${a.twin ? '.twin' : ''}.${b.id}${b.twin ? '.twin' : ''}`,
    step: 'fitting',
    severity: 'hold',
    message: `${call(a)} and ${call(b)} stand in each other${volume_mm3 ? `: both fill the same ${volumeText(volume_mm3)}` : ''}.`,
    advice: 'Move one of them.',
    where,
    value: 0,
    unit: 'mm',
  }
}

const volumeText = (mm3: number): string => `${(mm3 / 1000).toFixed(mm3 < 1e5 ? 1 : 0)} cm3`

const inJob = ([x, y, z]: readonly [number, number, number]): Point<'job'> => [x, y, z]

const round = (mm: number): string => (Math.round(mm * 10) / 10).toString()

/** Sizes along the part's own axes, mm. */
export function sizeOf(mesh: Mesh): readonly [number, number, number] {
  const { min, max } = bounds(mesh)
  return [max[0] - min[0], max[1] - min[1], max[2] - min[2]]
}
