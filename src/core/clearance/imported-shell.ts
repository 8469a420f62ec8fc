/**
 * A shell that somebody else drew, taken in place of ours: its moulded face is found and turned to look up, as every moulded
 * face here is, and it is given the laminate if it came as a bare surface. Nothing of its shape is changed.
 */
import { adjacency, isClosed, RIM } from '../geometry/adjacency'
import { UP } from '../geometry/axes'
import { BLOCK, type Steps, within } from '../geometry/kernel'
import { facetShape } from '../geometry/measure'
import { facetCount, type Mesh, makeMesh, turnedOver, vertexCount } from '../geometry/mesh'
import { Refused } from '../geometry/trouble'
import { laminate } from './laminate'
import { type Shell, ZONES } from './types'

export interface ImportedShell {
  readonly shell: Shell
  /** True if the file held a solid, of which the moulded face was taken. */
  readonly fromSolid: boolean
  /** Share of the file's area that is the moulded face. */
  readonly faceShare: number
}

/** Two facets whose normals agree better than this run on into each other: cosine of 30 degrees. */
const SMOOTH_COS = 0.8660254037844387
/** A facet that leans less than this from the upright is not told by its own normal alone which side it is of: sine of 1 degree. */
const DOUBT_SIN = 0.01745240643728351
/** Facets that look up steeper than 45 degrees count as crown, the others as skirt: a stranger's mesh does not say. */
const CROWN_COS = Math.SQRT1_2

/**
 * @param mesh in job axes; open: the moulded face itself; closed: a solid with its thickness
 * @throws Refused `shape-impossible` if no moulded face is found in a solid, or a surface cannot be given a thickness
 *
 * @example const { shell } = yield* importedShell(mesh, 'underside', 4, 'inner.stl')
 */
export function* importedShell(
  mesh: Mesh<'job'>,
  role: 'underside' | 'topside',
  thickness_mm: number,
  name: string,
): Steps<ImportedShell> {
  if (facetCount(mesh) === 0) throw new Refused('mesh-empty', `clearance: ${name} has no facet, so it is no shell.`)
  const neighbours = yield* within(0, 0.3, 'neighbours', adjacency(mesh.indices, vertexCount(mesh)))
  const { across } = neighbours
  const { normals, areas_mm2 } = yield* within(0.3, 0.4, 'moulded face', facetShape(mesh))
  if (!isClosed(neighbours)) {
    let up = 0
    for (let f = 0; f < facetCount(mesh); f++) up += normals[3 * f + 2]! * areas_mm2[f]!
    const face = up >= 0 ? mesh : turnedOver(mesh)
    // The laminate lies above the underside's moulded face and below the topside's.
    const seat = role === 'underside' ? turnedOver(face) : face
    const solid = yield* within(0.4, 0.95, 'laminate', thickened(seat, thickness_mm, name))
    const shell = yield* within(0.95, 1, 'moulded face', shellOf(face, solid, thickness_mm))
    return { shell, fromSolid: false, faceShare: 1 }
  }
  const taken = yield* within(0.4, 0.8, 'moulded face', mouldedSide(mesh, normals, across, role))
  const indices = new Uint32Array(3 * taken.count)
  let at = 0
  let area = 0
  let whole = 0
  for (let f = 0; f < facetCount(mesh); f++) {
    whole += areas_mm2[f]!
    if (taken.side[f] === 0) continue
    area += areas_mm2[f]!
    indices.set(mesh.indices.subarray(3 * f, 3 * f + 3), at)
    at += 3
  }
  if (taken.count === 0 || taken.count === facetCount(mesh))
    throw new Refused(
      'shape-impossible',
      `clearance: ${name} is a closed body in which no ${role === 'underside' ? 'lower' : 'upper'} face can be told from the rest; export the moulded face alone, as an open surface.`,
    )
  const side = packed(mesh, indices)
  const face = role === 'underside' ? turnedOver(side) : side
  const shell = yield* within(0.8, 1, 'moulded face', shellOf(face, mesh, thickness_mm))
  return { shell, fromSolid: true, faceShare: area / whole }
}

function* shellOf(face: Mesh<'job'>, solid: Mesh<'job'>, thickness_mm: number): Steps<Shell> {
  const { normals } = yield* facetShape(face)
  const zone = new Uint8Array(facetCount(face))
  for (let f = 0; f < zone.length; f++) zone[f] = ZONES.indexOf(normals[3 * f + 2]! >= CROWN_COS ? 'crown' : 'skirt')
  return { face, zone, solid, thickness_mm, pull: UP }
}

/**
 * The side of a solid shell that its mould touches: facets that look to the mould (down for the underside, up for the
 * topside), and from there on over smooth edges and inside corners, so that a wall that leans back is not lost: it is the
 * very thing a check must find. Where the laminate ends the solid has outside corners, and there it stops.
 */
function* mouldedSide(
  mesh: Mesh,
  normals: Float32Array,
  across: Int32Array,
  role: 'underside' | 'topside',
): Steps<{ side: Uint8Array; count: number }> {
  const facets = facetCount(mesh)
  const sign = role === 'underside' ? -1 : 1
  const side = new Uint8Array(facets)
  const waiting: number[] = []
  for (let f = 0; f < facets; f++)
    if (sign * normals[3 * f + 2]! > DOUBT_SIN) {
      side[f] = 1
      waiting.push(f)
    }
  let count = waiting.length
  for (let done = 0; waiting.length > 0; done++) {
    if (done % BLOCK === 0) yield Math.min(1, done / facets)
    const f = waiting.pop()!
    for (let k = 0; k < 3; k++) {
      const g = across[3 * f + k]!
      if (g < 0 || side[g] === 1) continue
      // What clearly looks away from the mould is the raw side, however smooth the way there: a rounded trim edge.
      if (sign * normals[3 * g + 2]! < -DOUBT_SIN && !inside(mesh, normals, f, g, k)) continue
      if (!inside(mesh, normals, f, g, k) && !smooth(normals, f, g)) continue
      side[g] = 1
      count++
      waiting.push(g)
    }
  }
  return { side, count }
}

const smooth = (n: Float32Array, f: number, g: number): boolean =>
  n[3 * f]! * n[3 * g]! + n[3 * f + 1]! * n[3 * g + 1]! + n[3 * f + 2]! * n[3 * g + 2]! > SMOOTH_COS

/** An inside corner: the neighbour's far corner stands in front of this facet. */
function inside({ positions: p, indices }: Mesh, n: Float32Array, f: number, g: number, k: number): boolean {
  const a = indices[3 * f + k]!
  const b = indices[3 * f + ((k + 1) % 3)]!
  const far = [0, 1, 2].map((c) => indices[3 * g + c]!).find((v) => v !== a && v !== b)
  if (far === undefined) return false
  let height = 0
  let size = 0
  for (let c = 0; c < 3; c++) {
    const d = p[3 * far + c]! - p[3 * a + c]!
    height += n[3 * f + c]! * d
    size += d * d
  }
  return height > 0 && height * height > 1e-6 * size
}

/** A surface and its raw face, joined along every rim. */
function* thickened(seat: Mesh<'job'>, thickness_mm: number, name: string): Steps<Mesh<'job'>> {
  const open = { mesh: seat, zone: new Uint8Array(0), twin: null, trim: new Uint32Array(0) }
  const both = yield* laminate(open, thickness_mm, 'up')
  for (let i = 0; i < both.positions.length; i++)
    if (!Number.isFinite(both.positions[i]!)) {
      const v = 3 * (Math.floor(i / 3) % vertexCount(seat))
      const at = [0, 1, 2].map((k) => seat.positions[v + k]!.toFixed(0)).join(', ')
      throw new Refused(
        'shape-impossible',
        `clearance: ${name} folds on to itself at ${at}, where it cannot be given ${thickness_mm} mm of laminate; mend the surface there, or import the shell as a solid.`,
      )
    }
  const rims: number[] = []
  const n = vertexCount(seat)
  const neighbours = yield* adjacency(seat.indices, n)
  for (let f = 0; f < facetCount(seat); f++)
    for (let k = 0; k < 3; k++) {
      if (neighbours.across[3 * f + k] !== RIM) continue
      const a = seat.indices[3 * f + k]!
      const b = seat.indices[3 * f + ((k + 1) % 3)]!
      rims.push(b, a, a + n, b, a + n, b + n)
    }
  const indices = new Uint32Array(both.indices.length + rims.length)
  indices.set(both.indices)
  indices.set(rims, both.indices.length)
  return makeMesh('job', both.positions, indices)
}

/** Only the vertices that are used. */
function packed(mesh: Mesh<'job'>, indices: Uint32Array): Mesh<'job'> {
  const name = new Int32Array(vertexCount(mesh)).fill(-1)
  const positions: number[] = []
  const out = new Uint32Array(indices.length)
  for (let i = 0; i < indices.length; i++) {
    const v = indices[i]!
    if (name[v]! < 0) {
      name[v] = positions.length / 3
      positions.push(mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!)
    }
    out[i] = name[v]!
  }
  return makeMesh('job', new Float32Array(positions), out, mesh.origin)
}
