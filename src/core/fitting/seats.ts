/**
 * Pads, recesses and chases: features that the moulds carry, so that what is fitted stands on flat land and wires lie in
 * channels. From the shells of the clearance step to seated shells, faces and solids alike; everything later uses those.
 */
import { certify, laminate, type Shell } from '../clearance'
import { type Steps, within } from '../geometry/kernel'
import { leastDistance } from '../geometry/least-distance'
import { type Mesh, makeMesh, turnedOver } from '../geometry/mesh'
import { asinDeg, square } from '../geometry/portable-math'
import type { Finding } from '../geometry/trouble'
import { type ClosedFace, closeFace, type OpenFace, openFace } from './open-face'
import { highestAt, type PlanHeights, planHeights } from './plan-heights'
import { certificateFinding, faultFinding, featureFindings, oneSideFinding } from './seat-findings'
import { setIn } from './seat-patch'
import { type Placing, seatPlan, standing, type Wish } from './seat-plan'
import { type Profile, type ProfileFault, profile } from './seat-profile'
import type { SeatFeature, SeatsRequest, SeatsResult, ShellName } from './seat-types'

/** An edge whose raw side is the inner one must leave the laminate room to turn: its thickness and this much, mm. */
const RAW_RADIUS_MM = 1
/** How far the room to the other shell is looked for, mm. */
const ROOM_LIMIT_MM = 100
/** As the clearance step's own certificate: how far the gap map reaches. */
const MAP_MM = 100
const NAMES: readonly ShellName[] = ['topside', 'underside']

/**
 * Sets every wanted seat and chase into the shells.
 *
 * A feature that collides with another, runs into the edge radius, the skirt or the joint, or turns too sharply is left out,
 * and a hold says where. Nothing wanted: nothing is made, and the shells of the clearance step stand.
 *
 * @example const { topside, features } = drain(seatsStep(request)); // topside?.face has the pads
 */
export function* seatsStep(request: SeatsRequest): Steps<SeatsResult> {
  const from = { underside: request.underside.face.id, topside: request.topside.face.id }
  const none: SeatsResult = { underside: null, topside: null, certificate: null, from, features: [], findings: [] }
  if (request.items.length === 0 && request.chases.length === 0) return none

  const plans = {
    topside: yield* within(0, 0.04, 'heights of the topside', planHeights(request.topside.face)),
    underside: yield* within(0.04, 0.08, 'heights of the underside', planHeights(request.underside.face)),
  }
  const open = {
    topside: openFace(request.topside.face, request.topside.zone),
    underside: openFace(request.underside.face, request.underside.zone),
  }
  const symmetric = { topside: open.topside.symmetric, underside: open.underside.symmetric }
  const placings = yield* within(
    0.08,
    0.2,
    'outlines',
    seatPlan(request.items, request.chases, { minRadius_mm: request.minRadius_mm, plans, symmetric }),
  )
  const findings: Finding[] = []
  const built: Built[] = []
  for (const [i, placing] of placings.entries()) {
    yield { fraction: 0.2 + (0.3 * i) / placings.length, label: placing.own.name }
    const on = placing.own.on
    const made = build(placing, request, open[on], plans[on], built)
    built.push(...made.built)
    findings.push(...made.findings)
    if (placing.side === 'alone' && symmetric[on] && made.built.every((b) => b.profile))
      findings.push(oneSideFinding(placing.own))
  }
  const shells: { topside: Shell | null; underside: Shell | null } = { topside: null, underside: null }
  const closed: { topside: ClosedFace | null; underside: ClosedFace | null } = { topside: null, underside: null }
  const seated: { topside: PlanHeights; underside: PlanHeights } = { ...plans }
  for (const [i, name] of NAMES.entries()) {
    if (!built.some((b) => b.wish.on === name && b.profile)) continue
    const at = 0.5 + 0.15 * i
    const face = closeFace(open[name])
    closed[name] = face
    const shell = yield* within(at, at + 0.1, 'solids', seatedShell(request[name], face, name))
    shells[name] = shell
    seated[name] = yield* within(at + 0.1, at + 0.15, 'heights', planHeights(shell.face))
  }
  const features: SeatFeature[] = []
  for (const [i, one] of built.entries()) {
    yield { fraction: 0.8 + (0.1 * i) / built.length, label: one.wish.name }
    const { on } = one.wish
    const other = on === 'topside' ? 'underside' : 'topside'
    const raw = closed[on] && one.profile ? rawOf(shells[on]!, closed[on]!, i) : null
    const room = raw
      ? yield* leastDistance(raw.mesh, nearby((shells[other] ?? request[other]).solid, raw.mesh), ROOM_LIMIT_MM)
      : null
    const feature = describe(
      one,
      closed[on],
      shells[on],
      seated[on],
      i,
      room && room.distance_mm < Infinity ? room.distance_mm : null,
    )
    features.push(feature)
    if (feature.built)
      findings.push(
        ...featureFindings(feature, {
          folded: raw?.folded ?? 0,
          bond_mm: request.bond_mm,
          where: placeOf(one),
          room: room?.pointA ?? null,
          raised: one.raisedRadius,
        }),
      )
  }
  let certificate: SeatsResult['certificate'] = null
  if (shells.underside) {
    const { certificate: before } = request
    const again = yield* within(
      0.9,
      1,
      'certificate',
      certify({
        face: shells.underside.face,
        frame: request.frame,
        rimVertex: request.rimVertex,
        unseenFacet: request.unseenFacet,
        gap: request.gap,
        guard_mm: before.guard_mm,
        limit_mm: before.gapLimit_mm,
        map_mm: MAP_MM,
        lift: null,
      }),
    )
    certificate = { ...again, excessLift: before.excessLift }
    const worse = certificateFinding(before, certificate)
    if (worse) findings.push(worse)
  }
  return { ...shells, certificate, from, features, findings }
}

interface Built {
  readonly wish: Wish
  readonly placing: Placing
  /** `null`: it could not be made. */
  readonly profile: Profile | null
  readonly edgeRadius_mm: number
  readonly footRadius_mm: number
  /** Radius that was asked, where a larger one was built. */
  readonly raisedRadius: number | null
}

function build(
  placing: Placing,
  request: SeatsRequest,
  face: OpenFace,
  plan: PlanHeights,
  before: readonly Built[],
): { built: Built[]; findings: Finding[] } {
  const { own, other, side } = placing
  const least = request[own.on].thickness_mm + RAW_RADIUS_MM
  const asked = own.edgeRadius_mm ?? Math.max(request.minRadius_mm, least)
  const edgeRadius_mm = asked > 0 ? Math.max(asked, least) : 0
  const footRadius_mm = own.footRadius_mm ?? request.minRadius_mm
  const shell = (x: number, y: number) => highestAt(plan, x, y)
  const { land: wanted } = own
  const land =
    'over_mm' in wanted
      ? (x: number, y: number) => shell(x, y) + wanted.over_mm
      : (x: number, y: number) => wanted.plane[0] + wanted.plane[1] * x + wanted.plane[2] * y
  const pad = own.kind === 'pad'
  const wall: Profile | { fault: ProfileFault['fault'] | 'imported'; at: readonly [number, number] } = request.imported[
    own.on
  ]
    ? { fault: 'imported', at: own.stands?.stand.at_mm ?? own.loop[0] ?? [0, 0] }
    : own.loop.length < 3
      ? { fault: 'off', at: own.stands?.stand.at_mm ?? [0, 0] }
      : profile({
          curve: {
            x: Float64Array.from(own.loop, ([x]) => x),
            y: Float64Array.from(own.loop, ([, y]) => y),
            mirrored: side === 'centre',
          },
          raised: own.raised,
          land,
          flat: 'plane' in wanted,
          shell,
          draft_deg: own.draft_deg ?? request.draft_deg,
          landRadius_mm: pad ? edgeRadius_mm : footRadius_mm,
          shellRadius_mm: pad ? footRadius_mm : edgeRadius_mm,
        })
  const wishes = other ? [own, other] : [own]
  const made = (result: Profile | null): Built[] =>
    wishes.map((wish, k) => ({
      wish,
      placing,
      profile: result,
      edgeRadius_mm,
      footRadius_mm,
      raisedRadius: k === 0 && edgeRadius_mm > asked ? asked : null,
    }))
  if ('fault' in wall) return { built: made(null), findings: [faultFinding(own, wall.fault, wall.at, null)] }
  const fault = setIn(face, { side, rings: wall.rings, land, owner: before.length })
  if (fault === null) return { built: made(wall), findings: [] }
  const inTheWay = typeof fault === 'object' ? (before[fault.feature]?.wish.name ?? '') : null
  const at = own.loop[0]!
  return {
    built: made(null),
    findings: [
      faultFinding(own, typeof fault === 'object' ? 'collides' : fault, own.stands?.stand.at_mm ?? at, inTheWay),
    ],
  }
}

function* seatedShell(shell: Shell, face: ClosedFace, name: ShellName): Steps<Shell> {
  const mesh = makeMesh('job', face.positions, face.indices)
  const facing = name === 'topside' ? 'up' : 'down'
  // Underside shells are given their laminate looking down, as the clearance step does.
  const built = { mesh: facing === 'up' ? mesh : turnedOver(mesh), zone: face.zone, twin: face.twin, trim: face.trim }
  return { ...shell, face: mesh, zone: face.zone, solid: yield* laminate(built, shell.thickness_mm, facing) }
}

/** The raw side of one feature, and how many of its facets turn over in plan: a laminate cannot fold. */
function rawOf(shell: Shell, face: ClosedFace, owner: number): { mesh: Mesh<'job'>; folded: number } {
  const { positions, indices } = shell.solid
  const facets = face.owner.length
  const own: number[] = []
  let folded = 0
  const area = (f: number) => {
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    return (
      (positions[b]! - positions[a]!) * (positions[c + 1]! - positions[a + 1]!) -
      (positions[b + 1]! - positions[a + 1]!) * (positions[c]! - positions[a]!)
    )
  }
  for (let f = 0; f < facets; f++) {
    if (face.owner[f] !== owner) continue
    const raw = facets + f
    own.push(indices[3 * raw]!, indices[3 * raw + 1]!, indices[3 * raw + 2]!)
    if (area(raw) * area(f) >= 0) folded++
  }
  return { mesh: subMesh(positions, own), folded }
}

function subMesh(positions: Float32Array, corners: readonly number[]): Mesh<'job'> {
  const number = new Map<number, number>()
  for (const v of corners) if (!number.has(v)) number.set(v, number.size)
  const out = new Float32Array(3 * number.size)
  for (const [v, k] of number) out.set(positions.subarray(3 * v, 3 * v + 3), 3 * k)
  return makeMesh(
    'job',
    out,
    Uint32Array.from(corners, (v) => number.get(v)!),
  )
}

/** The facets of a solid within reach of a small mesh, in plan. */
function nearby(solid: Mesh<'job'>, around: Mesh<'job'>): Mesh<'job'> {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity]
  for (let i = 0; i < around.positions.length; i += 3) {
    x0 = Math.min(x0, around.positions[i]! - ROOM_LIMIT_MM)
    x1 = Math.max(x1, around.positions[i]! + ROOM_LIMIT_MM)
    y0 = Math.min(y0, around.positions[i + 1]! - ROOM_LIMIT_MM)
    y1 = Math.max(y1, around.positions[i + 1]! + ROOM_LIMIT_MM)
  }
  const { positions: p, indices } = solid
  const near: number[] = []
  for (let h = 0; h < indices.length; h += 3) {
    const [a, b, c] = [3 * indices[h]!, 3 * indices[h + 1]!, 3 * indices[h + 2]!]
    if (Math.max(p[a]!, p[b]!, p[c]!) < x0 || Math.min(p[a]!, p[b]!, p[c]!) > x1) continue
    if (Math.max(p[a + 1]!, p[b + 1]!, p[c + 1]!) < y0 || Math.min(p[a + 1]!, p[b + 1]!, p[c + 1]!) > y1) continue
    near.push(indices[h]!, indices[h + 1]!, indices[h + 2]!)
  }
  return subMesh(p, near)
}

const placeOf = ({ wish, profile: made }: Built): readonly [number, number, number] => {
  const ring = made!.rings[0]!
  return [ring[0]!, wish.twin && wish.stands ? -Math.abs(ring[1]!) : ring[1]!, ring[2]!]
}

function describe(
  one: Built,
  face: ClosedFace | null,
  shell: Shell | null,
  seated: PlanHeights,
  owner: number,
  room_mm: number | null,
): SeatFeature {
  const { wish, placing, profile: made } = one
  const plain = {
    id: wish.id,
    name: wish.name,
    twin: wish.twin,
    kind: wish.kind,
    on: wish.on,
    edgeRadius_mm: one.edgeRadius_mm,
    footRadius_mm: one.footRadius_mm,
    before: wish.before,
  }
  const nothing = new Float64Array(0)
  if (!made || !face || !shell)
    return {
      ...plain,
      built: false,
      land_mm: nothing,
      rim_mm: nothing,
      least_mm: 0,
      most_mm: 0,
      landArea_mm2: 0,
      draft_deg: 0,
      room_mm: null,
      after: null,
    }
  // The rings of a pair are those of its port side.
  const turned = placing.side === 'pair' && wish !== placing.own
  const land_mm = wholeLoop(made.rings[0]!, placing.side === 'centre', turned)
  return {
    ...plain,
    built: true,
    land_mm,
    rim_mm: wholeLoop(made.rings.at(-1)!, placing.side === 'centre', turned),
    least_mm: made.least_mm,
    most_mm: made.most_mm,
    landArea_mm2: planArea(land_mm) / landPlumb(wish),
    draft_deg: leastDraft(shell.face, face, owner),
    room_mm,
    after: wish.stands ? standing(seated, wish.stands.footprint, wish.stands.stand) : null,
  }
}

function wholeLoop(ring: Float64Array, half: boolean, turned: boolean): Float64Array {
  const points = Array.from(
    { length: ring.length / 3 },
    (_, k) => [ring[3 * k]!, ring[3 * k + 1]!, ring[3 * k + 2]!] as const,
  )
  const image = [...points].reverse().map(([x, y, z]) => [x, -y, z] as const)
  if (half) return Float64Array.from([...points, ...image.slice(1, -1)].flat())
  return Float64Array.from((turned ? image : points).flat())
}

function planArea(loop: Float64Array): number {
  let twice = 0
  const n = loop.length / 3
  for (let k = 0; k < n; k++) {
    const j = (k + 1) % n
    twice += loop[3 * k]! * loop[3 * j + 1]! - loop[3 * j]! * loop[3 * k + 1]!
  }
  return twice / 2
}

const landPlumb = ({ land }: Wish): number =>
  'plane' in land ? 1 / Math.sqrt(1 + square(land.plane[1]) + square(land.plane[2])) : 1

function leastDraft({ positions: p, indices }: Mesh, face: ClosedFace, owner: number): number {
  let least = 1
  for (let f = 0; f < face.owner.length; f++) {
    if (face.owner[f] !== owner) continue
    const [a, b, c] = [3 * indices[3 * f]!, 3 * indices[3 * f + 1]!, 3 * indices[3 * f + 2]!]
    const u = [0, 1, 2].map((k) => p[b + k]! - p[a + k]!) as [number, number, number]
    const v = [0, 1, 2].map((k) => p[c + k]! - p[a + k]!) as [number, number, number]
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const
    least = Math.min(least, n[2] / Math.sqrt(square(n[0]) + square(n[1]) + square(n[2])))
  }
  return asinDeg(least)
}
