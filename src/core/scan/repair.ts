/**
 * Repairs: each takes a mesh and gives a better one with a finding that says what was done. They are steps of the job, so
 * each can be undone; none happens unasked.
 */

import { adjacency } from '../geometry/adjacency'
import { boundaryLoops, type Islands, islands, nextHalf } from '../geometry/islands'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, facetMiddle, type Mesh, makeMesh, vertexCount } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { assertNever, type Finding } from '../geometry/trouble'
import { behindPlane, crop, insideBox } from './crop'
import { fillHole, MOST_RIM_CORNERS } from './fill-hole'
import { words } from './raw-mesh'
import { keep, type Repaired, unchanged } from './repaired'
import { thinOut } from './thin-out'
import type { Repair } from './types'

/**
 * One repair.
 *
 * @param number its place in the job, from 1: findings are named by it
 * @param known  the pieces of this very mesh, if they are at hand
 * @throws Refused `setting-impossible` for a crop that leaves nothing
 */
export function* repair(
  mesh: Mesh<'scan'>,
  unseenFacet: Uint8Array,
  how: Repair,
  number: number,
  known: Islands | null,
): Steps<Repaired> {
  switch (how.kind) {
    case 'drop-islands':
      return yield* dropIslands(mesh, unseenFacet, how.belowShare, number, known)
    case 'turn-facets':
      return yield* turnFacets(mesh, unseenFacet, number)
    case 'fill-holes':
      return yield* fillHoles(mesh, unseenFacet, how.longestRim_mm, number)
    case 'crop-box':
      return yield* crop(mesh, unseenFacet, number, 'box', insideBox(how))
    case 'crop-plane':
      return yield* crop(mesh, unseenFacet, number, 'plane', behindPlane(how))
    case 'thin':
      return yield* thinOut(mesh, unseenFacet, how, number)
    default:
      return assertNever(how)
  }
}

function* dropIslands(
  mesh: Mesh<'scan'>,
  unseenFacet: Uint8Array,
  share: number,
  number: number,
  known: Islands | null,
): Steps<Repaired> {
  const { count, ofFacet } = known ?? (yield* within(0, 0.4, 'islands', islands(mesh.indices, vertexCount(mesh))))
  if (count === 1) return unchanged(mesh, unseenFacet)
  const { areas_mm2 } = yield* within(0.4, 0.6, 'areas', facetShape(mesh))
  const area = new Float64Array(count)
  const facets = new Uint32Array(count)
  for (let f = 0; f < ofFacet.length; f++) {
    area[ofFacet[f]!]! += areas_mm2[f]!
    facets[ofFacet[f]!]!++
  }
  let largest = 0
  let whole = 0
  for (const a of area) {
    if (a > largest) largest = a
    whole += a
  }
  let dropped = 0
  let facetsDropped = 0
  let areaDropped = 0
  let biggest = -1
  for (let i = 0; i < count; i++)
    if (area[i]! < share * largest) {
      dropped++
      facetsDropped += facets[i]!
      areaDropped += area[i]!
      if (biggest < 0 || area[i]! > area[biggest]!) biggest = i
    }
  if (dropped === 0) return unchanged(mesh, unseenFacet)
  const rest = yield* within(
    0.6,
    1,
    'drop',
    keep(mesh, unseenFacet, (f) => area[ofFacet[f]!]! >= share * largest),
  )
  const finding: Finding = {
    id: `scan.islands-dropped.${number}`,
    step: 'scan',
    severity: 'note',
    message: `${words(dropped)} loose ${dropped === 1 ? 'piece' : 'pieces'} of ${words(facetsDropped)} facets (${((100 * areaDropped) / whole).toFixed(2)} % of the area) smaller than ${(100 * share).toFixed(2)} % of the largest piece ${dropped === 1 ? 'was' : 'were'} dropped.`,
    advice: 'Undo the repair if one of them is metal.',
    where: facetMiddle(mesh, ofFacet.indexOf(biggest)),
    value: dropped,
  }
  return { ...rest, findings: [finding], islandsDropped: dropped, facetsDropped }
}

/**
 * Makes neighbours agree which side is out, piece by piece from the side that most of the area shows already. If the closed
 * pieces then enclose a negative volume in sum, they are all turned inside out.
 */
function* turnFacets(mesh: Mesh<'scan'>, unseenFacet: Uint8Array, number: number): Steps<Repaired> {
  const facets = facetCount(mesh)
  const { across } = yield* within(0, 0.3, 'neighbours', adjacency(mesh.indices, vertexCount(mesh)))
  const { areas_mm2 } = yield* within(0.3, 0.4, 'areas', facetShape(mesh))
  const indices = mesh.indices.slice()
  const piece = new Int32Array(facets).fill(-1)
  const turned = new Uint8Array(facets)
  const queue = new Uint32Array(facets)
  const open: boolean[] = []
  const sixVolume: number[] = []
  let conflicts = 0
  let conflictAt = -1
  for (let seed = 0; seed < facets; seed++) {
    if (piece[seed]! >= 0) continue
    const here = open.length
    let tail = 0
    let head = 0
    let asIs = 0
    let flipped = 0
    let isOpen = false
    queue[tail++] = seed
    piece[seed] = here
    while (head < tail) {
      const f = queue[head++]!
      if (turned[f]) flipped += areas_mm2[f]!
      else asIs += areas_mm2[f]!
      for (let k = 0; k < 3; k++) {
        const g = across[f * 3 + k]!
        if (g < 0) {
          isOpen = true
          continue
        }
        const same = runsSameWay(mesh.indices, f, k, g)
        const want = same ? 1 - turned[f]! : turned[f]!
        if (piece[g]! < 0) {
          piece[g] = here
          turned[g] = want
          queue[tail++] = g
        } else if (turned[g] !== want) {
          conflicts++
          if (conflictAt < 0) conflictAt = f
        }
      }
      if (head % (BLOCK * 2) === 0) yield 0.4 + (0.4 * head) / facets
    }
    // The smaller part by area is the one that is wrong.
    const swap = flipped > asIs
    let six = 0
    for (let i = 0; i < tail; i++) {
      const f = queue[i]!
      if (swap) turned[f] = 1 - turned[f]!
      if (!isOpen) six += (turned[f] ? -1 : 1) * sixTetra(mesh, f)
    }
    open.push(isOpen)
    sixVolume.push(six)
  }
  const inverted = sixVolume.reduce((a, b) => a + b, 0) < 0
  let count = 0
  for (let f = 0; f < facets; f++) {
    const turn = turned[f]! ^ (inverted && !open[piece[f]!] ? 1 : 0)
    if (!turn) continue
    count++
    const keep = indices[f * 3 + 1]!
    indices[f * 3 + 1] = indices[f * 3 + 2]!
    indices[f * 3 + 2] = keep
  }
  const findings: Finding[] = []
  if (count > 0)
    findings.push({
      id: `scan.turned.${number}`,
      step: 'scan',
      severity: 'note',
      message: `${words(count)} of ${words(facets)} facets were turned so that all neighbours face the same way.`,
      value: count,
    })
  if (conflicts > 0)
    findings.push({
      id: `scan.one-sided.${number}`,
      step: 'scan',
      severity: 'warning',
      message:
        'A part of the surface has only one side (like a twisted band), so that its facets cannot all face outwards.',
      advice: 'Crop that part, or mend it in the scanner’s own program.',
      where: facetMiddle(mesh, conflictAt),
    })
  if (count === 0) return { ...unchanged(mesh, unseenFacet), findings }
  return {
    ...unchanged(makeMesh('scan', mesh.positions, indices, mesh.origin), unseenFacet),
    findings,
  }
}

/** Closes every simple rim up to a length; what it makes is marked as unseen. */
function* fillHoles(mesh: Mesh<'scan'>, unseenFacet: Uint8Array, longest: number, number: number): Steps<Repaired> {
  const { positions: p, indices } = mesh
  const { across } = yield* within(0, 0.3, 'neighbours', adjacency(indices, vertexCount(mesh)))
  const loops = yield* within(0.3, 0.4, 'rims', boundaryLoops(indices, vertexCount(mesh), across))
  const byLoop: number[][] = Array.from({ length: loops.count }, () => [])
  for (let e = 0; e < loops.edges.length; e++) byLoop[loops.loopOf[e]!]!.push(loops.edges[e]!)

  const added: number[] = []
  let filled = 0
  let tangled = 0
  let tangledAt = -1
  for (let l = 0; l < loops.count; l++) {
    const edges = byLoop[l]!
    let rim_mm = 0
    const after = new Map<number, number>()
    for (const h of edges) {
      const a = indices[h]!
      const b = indices[nextHalf(h)]!
      after.set(a, b)
      rim_mm += Math.sqrt(
        square(p[a * 3]! - p[b * 3]!) + square(p[a * 3 + 1]! - p[b * 3 + 1]!) + square(p[a * 3 + 2]! - p[b * 3 + 2]!),
      )
    }
    if (rim_mm > longest) continue
    const rim = walk(after, indices[edges[0]!]!)
    if (rim.length !== edges.length || rim.length < 3 || rim.length > MOST_RIM_CORNERS) {
      tangled++
      if (tangledAt < 0) tangledAt = Math.floor(edges[0]! / 3)
      continue
    }
    for (const v of fillHole(p, rim)) added.push(v)
    filled++
    yield 0.4 + (0.6 * l) / loops.count
  }
  const findings: Finding[] = []
  if (filled > 0)
    findings.push({
      id: `scan.filled.${number}`,
      step: 'scan',
      severity: 'note',
      message: `${words(filled)} ${filled === 1 ? 'hole' : 'holes'} with a rim up to ${longest} mm ${filled === 1 ? 'was' : 'were'} filled with ${words(added.length / 3)} facets, which stay marked as unseen.`,
      value: filled,
    })
  if (tangled > 0)
    findings.push({
      id: `scan.not-filled.${number}`,
      step: 'scan',
      severity: 'warning',
      message: `${words(tangled)} ${tangled === 1 ? 'hole' : 'holes'} small enough to be filled stayed open: the rim crosses itself or has more than ${MOST_RIM_CORNERS} corners.`,
      advice: 'Scan the spot again, or leave it open: it then counts as unseen.',
      where: facetMiddle(mesh, tangledAt),
      value: tangled,
    })
  if (filled === 0) return { ...unchanged(mesh, unseenFacet), findings }
  const all = new Uint32Array(indices.length + added.length)
  all.set(indices)
  all.set(added, indices.length)
  const unseen = new Uint8Array(all.length / 3).fill(1, indices.length / 3)
  unseen.set(unseenFacet)
  return { ...unchanged(makeMesh('scan', p, all, mesh.origin), unseen), findings }
}

function walk(after: ReadonlyMap<number, number>, start: number): number[] {
  const rim: number[] = []
  const met = new Set<number>()
  for (let v: number | undefined = start; v !== undefined && !met.has(v); v = after.get(v)) {
    met.add(v)
    rim.push(v)
  }
  return after.get(rim.at(-1)!) === start ? rim : []
}

/** Whether facet `g` runs edge `k` of facet `f` in the same direction as `f` does. */
export function runsSameWay(indices: Uint32Array, f: number, k: number, g: number): boolean {
  const a = indices[f * 3 + k]!
  const b = indices[f * 3 + ((k + 1) % 3)]!
  for (let j = 0; j < 3; j++) if (indices[g * 3 + j] === a && indices[g * 3 + ((j + 1) % 3)] === b) return true
  return false
}

function sixTetra({ positions: p, indices }: Mesh, f: number): number {
  const a = indices[f * 3]! * 3
  const b = indices[f * 3 + 1]! * 3
  const c = indices[f * 3 + 2]! * 3
  return (
    p[a]! * (p[b + 1]! * p[c + 2]! - p[b + 2]! * p[c + 1]!) +
    p[a + 1]! * (p[b + 2]! * p[c]! - p[b]! * p[c + 2]!) +
    p[a + 2]! * (p[b]! * p[c + 1]! - p[b + 1]! * p[c]!)
  )
}
