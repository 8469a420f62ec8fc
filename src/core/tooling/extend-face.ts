/**
 * The moulded face carried on past its trim line: straight on, round a fold, and out as a level flange for bag and clamps.
 *
 * Rows of points follow the trim line, each moved along the mitre of its corner, so the strip beside every segment stays plane
 * and the whole stays a height field: what is machined from above needs no undercut anywhere.
 */
import { adjacency, RIM } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { type Mesh, makeMesh, vertexCount } from '../geometry/mesh'
import { atanDeg, cosDeg, sinDeg, square } from '../geometry/portable-math'
import { Refused } from '../geometry/trouble'

export const TOOL_ZONES = ['moulded', 'beyond', 'fold', 'flange'] as const

export interface ExtendOptions {
  /** Straight on past the trim line, mm: the laminate runs over here and is trimmed back. */
  readonly beyond_mm: number
  readonly foldRadius_mm: number
  readonly flange_mm: number
}

export interface ExtendedFace {
  readonly mesh: Mesh<'part'>
  /** Index into `TOOL_ZONES`, one per facet. */
  readonly zone: Uint8Array
  /** Vertices of the trim line and of the flange's outer edge, counter-clockwise from above, one for one. */
  readonly trim: Uint32Array
  readonly outer: Uint32Array
  /** Where the level flange begins, one vertex for each of `outer`. */
  readonly inner: Uint32Array
  /** Narrowest flange, mm: less than asked where the outline turns in more sharply than the flange is wide. */
  readonly narrowest_mm: number
}

const FOLD_ROWS = 5
/** Rows of the fold stand at least this far apart in plan: where the face ends level there is nothing to fold. */
const ROW_MM = 0.5

/**
 * @param face tool axes, facets looking up, one border
 * @throws Refused `shape-impossible` for a face with holes or in pieces, or an outline that leaves no room for fold and flange
 */
export function* extendFace(face: Mesh<'part'>, options: ExtendOptions): Steps<ExtendedFace> {
  const { across } = yield* within(0, 0.5, 'border', adjacency(face.indices, vertexCount(face)))
  const trim = borderLoop(face, across)
  yield 0.6
  const { positions: p } = face
  const n = trim.length
  const mitre = mitresOf(p, trim)
  const slope = slopesAtBorder(face, across, trim, mitre)
  const room = roomOutside(p, trim, mitre)

  const rowCount = 1 + FOLD_ROWS + 1
  const rows = Array.from({ length: rowCount }, () => new Float64Array(3 * n))
  let narrowest = Infinity
  for (let k = 0; k < n; k++) {
    const v = 3 * trim[k]!
    const s = slope[k]!
    const cos = 1 / Math.sqrt(1 + s * s)
    const sin = Math.abs(s) * cos
    const sign = s < 0 ? -1 : 1
    const theta = atanDeg(Math.abs(s))
    const r = options.foldRadius_mm
    const level = options.beyond_mm * cos
    const width = Math.min(options.flange_mm, room[k]! - level - r * sin - FOLD_ROWS * ROW_MM)
    if (width < LEAST_FLANGE_MM)
      throw new Refused(
        'shape-impossible',
        `tooling: the trim line turns in too sharply about x ${Math.round(p[v]!)}, y ${Math.round(p[v + 1]!)} for a flange outside it; make foldRadius_mm and beyondTrim_mm smaller, or the outline rounder.`,
      )
    if (width < narrowest) narrowest = width
    const put = (row: number, offset: number, rise: number) => {
      rows[row]![3 * k] = p[v]! + offset * mitre[2 * k]!
      rows[row]![3 * k + 1] = p[v + 1]! + offset * mitre[2 * k + 1]!
      rows[row]![3 * k + 2] = p[v + 2]! + rise
    }
    put(0, level, sign * options.beyond_mm * sin)
    for (let a = 1; a <= FOLD_ROWS; a++) {
      const rest = theta * (1 - a / FOLD_ROWS)
      const [sa, ca] = [sinDeg(rest), cosDeg(rest)]
      put(a, level + r * (sin - sa) + a * ROW_MM, sign * (options.beyond_mm * sin + r * (ca - cos)))
    }
    put(rowCount - 1, level + r * sin + FOLD_ROWS * ROW_MM + width, sign * (options.beyond_mm * sin + r * (1 - cos)))
  }
  yield 0.8
  return assemble(face, trim, rows, narrowest)
}

const LEAST_FLANGE_MM = 10

function assemble(face: Mesh<'part'>, trim: Uint32Array, rows: Float64Array[], narrowest_mm: number): ExtendedFace {
  const n = trim.length
  const own = face.positions.length / 3
  const position = new Float32Array(face.positions.length + rows.length * 3 * n)
  position.set(face.positions)
  for (let i = 0; i < rows.length; i++) position.set(rows[i]!, face.positions.length + i * 3 * n)
  const indices = new Uint32Array(face.indices.length + rows.length * 6 * n)
  const zone = new Uint8Array(indices.length / 3)
  indices.set(face.indices)
  let at = face.indices.length
  const vertex = (row: number, k: number) => (row < 0 ? trim[k % n]! : own + row * n + (k % n))
  for (let row = 0; row < rows.length; row++)
    for (let k = 0; k < n; k++) {
      const [a, b, c, d] = [vertex(row - 1, k), vertex(row - 1, k + 1), vertex(row, k + 1), vertex(row, k)]
      indices.set(length2(position, a, c) <= length2(position, b, d) ? [a, d, c, a, c, b] : [a, d, b, d, c, b], at)
      zone.fill(row === 0 ? 1 : row < rows.length - 1 ? 2 : 3, at / 3, at / 3 + 2)
      at += 6
    }
  const mesh = makeMesh('part', position, indices)
  for (let f = face.indices.length; f < indices.length; f += 3)
    if (!(planArea(position, indices, f) > 0)) {
      const v = 3 * indices[f]!
      throw new Refused(
        'shape-impossible',
        `tooling: the flange folds over itself about x ${Math.round(position[v]!)}, y ${Math.round(position[v + 1]!)}; make flange_mm smaller or the outline rounder.`,
      )
    }
  const row = (i: number) => Uint32Array.from({ length: n }, (_, k) => own + i * n + k)
  return { mesh, zone, trim, outer: row(rows.length - 1), inner: row(rows.length - 2), narrowest_mm }
}

/** The one border of the face, counter-clockwise from above. */
function borderLoop(face: Mesh, across: Int32Array): Uint32Array {
  const { indices } = face
  const next = new Map<number, number>()
  for (let h = 0; h < across.length; h++)
    if (across[h] === RIM) next.set(indices[h]!, indices[h % 3 === 2 ? h - 2 : h + 1]!)
  const first = next.keys().next().value
  if (first === undefined)
    throw new Refused(
      'shape-impossible',
      'tooling: the moulded face is closed and has no trim line; give the face only.',
    )
  const loop: number[] = []
  for (let v = first; ; ) {
    loop.push(v)
    const to = next.get(v)
    if (to === undefined || loop.length > next.size)
      throw new Refused(
        'shape-impossible',
        'tooling: the border of the moulded face is not one clean line; repair it first.',
      )
    v = to
    if (v === first) break
  }
  if (loop.length < next.size)
    throw new Refused(
      'shape-impossible',
      'tooling: the moulded face has holes or lies in pieces; a tool needs one face with one border.',
    )
  return Uint32Array.from(loop)
}

/** Outward mitre of each corner, two per corner: moved by d times it, a corner stands d from both its segments. */
function mitresOf(p: Float32Array, loop: Uint32Array): Float64Array {
  const n = loop.length
  const out = new Float64Array(2 * n)
  for (let k = 0; k < n; k++) {
    const [ax, ay] = segmentNormal(p, loop[(k + n - 1) % n]!, loop[k]!)
    const [bx, by] = segmentNormal(p, loop[k]!, loop[(k + 1) % n]!)
    const scale = 1 / Math.max(0.2, 1 + ax * bx + ay * by)
    out[2 * k] = (ax + bx) * scale
    out[2 * k + 1] = (ay + by) * scale
  }
  return out
}

function segmentNormal(p: Float32Array, a: number, b: number): [number, number] {
  const dx = p[3 * b]! - p[3 * a]!
  const dy = p[3 * b + 1]! - p[3 * a + 1]!
  const l = Math.sqrt(dx * dx + dy * dy)
  return l > 0 ? [dy / l, -dx / l] : [0, 0]
}

/** Rise of the face per distance outside the trim line, mean of the two border facets at each corner. */
function slopesAtBorder(face: Mesh, across: Int32Array, loop: Uint32Array, mitre: Float64Array): Float64Array {
  const { positions: p, indices } = face
  const facetOf = new Map<number, number>()
  for (let h = 0; h < across.length; h++) if (across[h] === RIM) facetOf.set(indices[h]!, (h / 3) | 0)
  const n = loop.length
  const slope = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    let sum = 0
    for (const v of [loop[k]!, loop[(k + n - 1) % n]!]) {
      const f = 3 * facetOf.get(v)!
      const [a, b, c] = [3 * indices[f]!, 3 * indices[f + 1]!, 3 * indices[f + 2]!]
      const [ux, uy, uz] = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!]
      const [vx, vy, vz] = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!]
      const nz = ux * vy - uy * vx
      const gx = -(uy * vz - uz * vy) / nz
      const gy = -(uz * vx - ux * vz) / nz
      sum += gx * mitre[2 * k]! + gy * mitre[2 * k + 1]!
    }
    // A slope beyond 89.9 degrees would throw the rows about; walls of 0.1 degree are refused by the clearance step anyway.
    slope[k] = Math.max(-573, Math.min(573, sum / 2))
  }
  return slope
}

/**
 * How far each corner may be moved out before a segment beside it shrinks to a tenth; eased along the line at 1 to 2, so that
 * the flange narrows and widens gently.
 */
function roomOutside(p: Float32Array, loop: Uint32Array, mitre: Float64Array): Float64Array {
  const n = loop.length
  const room = new Float64Array(n).fill(Infinity)
  const length = new Float64Array(n)
  for (let k = 0; k < n; k++) {
    const j = (k + 1) % n
    const [a, b] = [3 * loop[k]!, 3 * loop[j]!]
    const dx = p[b]! - p[a]!
    const dy = p[b + 1]! - p[a + 1]!
    const l = Math.sqrt(dx * dx + dy * dy)
    length[k] = l
    if (l === 0) continue
    const shrink = -((mitre[2 * j]! - mitre[2 * k]!) * dx + (mitre[2 * j + 1]! - mitre[2 * k + 1]!) * dy) / l
    if (shrink <= 0) continue
    const most = (0.9 * l) / shrink
    room[k] = Math.min(room[k]!, most)
    room[j] = Math.min(room[j]!, most)
  }
  for (let turn = 0; turn < 2; turn++) {
    for (let k = 0; k < n; k++) room[(k + 1) % n] = Math.min(room[(k + 1) % n]!, room[k]! + length[k]! / 2)
    for (let k = n - 1; k >= 0; k--) room[k] = Math.min(room[k]!, room[(k + 1) % n]! + length[k]! / 2)
  }
  return room
}

function length2(p: Float32Array, a: number, b: number): number {
  return square(p[3 * a]! - p[3 * b]!) + square(p[3 * a + 1]! - p[3 * b + 1]!) + square(p[3 * a + 2]! - p[3 * b + 2]!)
}

function planArea(p: Float32Array, indices: Uint32Array, f: number): number {
  const a = 3 * indices[f]!
  const b = 3 * indices[f + 1]!
  const c = 3 * indices[f + 2]!
  return (p[b]! - p[a]!) * (p[c + 1]! - p[a + 1]!) - (p[b + 1]! - p[a + 1]!) * (p[c]! - p[a]!)
}
