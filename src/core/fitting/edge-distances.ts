/** How far each fitting stands from the edge of its shell and from the joint of the two shells. */
import { type Steps, within } from '../geometry/kernel'
import { leastDistance } from '../geometry/least-distance'
import { type Mesh, makeMesh, vertexCount } from '../geometry/mesh'
import { Remembered } from '../geometry/remembered'
import { rimLoops } from '../geometry/rim-loops'
import type { NearPlace, PlacedFitting } from './types'

export interface EdgedShell {
  readonly face: Mesh<'job'>
  /** One per facet of `face`: 1 where the two shells are joined (the flange). */
  readonly joint: Uint8Array
}

export interface EdgeDistances {
  readonly toEdge: NearPlace | null
  readonly toJoint: NearPlace | null
}

/** @returns one per fitting, in their order */
export function* edgeDistances(
  placed: readonly PlacedFitting[],
  shells: { readonly topside: EdgedShell; readonly underside: EdgedShell },
): Steps<EdgeDistances[]> {
  const lines = {
    topside: { edge: yield* rimLine(shells.topside.face), joint: jointOf(shells.topside) },
    underside: { edge: yield* rimLine(shells.underside.face), joint: jointOf(shells.underside) },
  }
  const found: EdgeDistances[] = []
  for (const [i, p] of placed.entries()) {
    const { edge, joint } = lines[p.on]
    const [from, to] = [i / placed.length, (i + 1) / placed.length]
    found.push({
      toEdge: edge && (yield* within(from, to, 'distance to the edge', nearest(p.mesh, edge))),
      toJoint: joint && (yield* within(from, to, 'distance to the joint', nearest(p.mesh, joint))),
    })
  }
  return found
}

function* nearest(part: Mesh<'job'>, line: Mesh<'job'>): Steps<NearPlace> {
  const { distance_mm, pointA, pointB } = yield* leastDistance(part, line)
  return {
    min_mm: distance_mm,
    part: [pointA[0], pointA[1], pointA[2]],
    there: [pointB[0], pointB[1], pointB[2]],
  }
}

/** The rim as facets without area, which the search takes for the segments they are. */
export function* rimLine(face: Mesh<'job'>): Steps<Mesh<'job'> | null> {
  const known = lines.get(face, 'rim')
  if (known) return known
  const loops = yield* rimLoops(face.indices, vertexCount(face))
  const indices = loops.flatMap((loop) =>
    loop.flatMap((v, k) => {
      const next = loop[(k + 1) % loop.length]!
      return [v, next, next]
    }),
  )
  return lineOf(face, 'rim', indices)
}

/** Last line of each kind on a face. The same object again while it stays the same, so that distances to it are found again. */
const lines = new Remembered<Mesh<'job'>>()

function lineOf(face: Mesh<'job'>, kind: 'rim' | 'joint', indices: readonly number[]): Mesh<'job'> | null {
  if (indices.length === 0) return null
  const line = makeMesh('job', face.positions, Uint32Array.from(indices), face.origin)
  const known = lines.get(face, kind)
  return known?.id === line.id ? known : lines.set(face, kind, line, 2)
}

function jointOf({ face, joint }: EdgedShell): Mesh<'job'> | null {
  const indices: number[] = []
  for (let f = 0; f < joint.length; f++)
    if (joint[f] === 1) indices.push(face.indices[3 * f]!, face.indices[3 * f + 1]!, face.indices[3 * f + 2]!)
  return lineOf(face, 'joint', indices)
}
