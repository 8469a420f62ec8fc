/** A moulded face while features are being set into it, and the face again when they are. */
import { NO_TWIN, ZONES } from '../clearance'
import type { Mesh } from '../geometry/mesh'

export const CROWN = ZONES.indexOf('crown')

/** A face that features are being set into. Growing lists; dead facets are dropped at the end. */
export interface OpenFace {
  readonly position: number[]
  readonly corner: number[]
  readonly zone: number[]
  /** Feature that a facet belongs to, −1 for the shell itself. */
  readonly owner: number[]
  readonly dead: number[]
  /** 1: a vertex of a feature, or one that a facet outside the crown uses: it stays. */
  readonly locked: number[]
  /** Mirror image of every vertex; `NO_TWIN` where there is none that hangs together as it does. */
  readonly twin: number[]
  /** Every vertex has its mirror image, bit for bit. */
  readonly symmetric: boolean
}

export function openFace(face: Mesh<'job'>, zone: Uint8Array): OpenFace {
  const { positions, indices } = face
  const vertices = positions.length / 3
  const locked = new Array<number>(vertices).fill(0)
  for (let f = 0; f < zone.length; f++)
    if (zone[f] !== CROWN) for (let k = 0; k < 3; k++) locked[indices[3 * f + k]!] = 1
  const { twin, symmetric } = twinsOf(positions)
  return {
    position: Array.from(positions),
    corner: Array.from(indices),
    zone: Array.from(zone),
    owner: new Array<number>(zone.length).fill(-1),
    dead: new Array<number>(zone.length).fill(0),
    locked,
    twin,
    symmetric,
  }
}

function twinsOf(positions: Float32Array): { twin: number[]; symmetric: boolean } {
  const byPlace = new Map<string, number>()
  const n = positions.length / 3
  const key = (v: number, sign: number) => {
    const y = positions[3 * v + 1]!
    return `${positions[3 * v]} ${y === 0 ? 0 : sign * y} ${positions[3 * v + 2]}`
  }
  for (let v = 0; v < n; v++) byPlace.set(key(v, 1), v)
  let symmetric = byPlace.size === n
  const twin = Array.from({ length: n }, (_, v) => {
    const other = byPlace.get(key(v, -1))
    if (other === undefined) symmetric = false
    return other ?? NO_TWIN
  })
  return symmetric ? { twin, symmetric } : { twin: twin.fill(NO_TWIN), symmetric }
}

export interface ClosedFace {
  readonly positions: Float32Array
  readonly indices: Uint32Array
  readonly zone: Uint8Array
  readonly twin: Uint32Array
  readonly owner: Int32Array
  /** Trim line, counter-clockwise seen from above. */
  readonly trim: Uint32Array
}

/** Drops what is dead and numbers the rest anew. */
export function closeFace(face: OpenFace): ClosedFace {
  const number = new Map<number, number>()
  const alive = Array.from({ length: face.dead.length }, (_, f) => f).filter((f) => !face.dead[f])
  const indices = new Uint32Array(3 * alive.length)
  const used = new Uint8Array(face.position.length / 3)
  for (const f of alive) for (let k = 0; k < 3; k++) used[face.corner[3 * f + k]!] = 1
  for (let v = 0; v < used.length; v++) if (used[v]) number.set(v, number.size)
  const positions = new Float32Array(3 * number.size)
  const twin = new Uint32Array(number.size)
  for (const [v, to] of number) {
    for (let k = 0; k < 3; k++) positions[3 * to + k] = face.position[3 * v + k]!
    twin[to] = face.twin[v] === NO_TWIN ? NO_TWIN : number.get(face.twin[v]!)!
  }
  alive.forEach((f, i) => {
    for (let k = 0; k < 3; k++) indices[3 * i + k] = number.get(face.corner[3 * f + k]!)!
  })
  return {
    positions,
    indices,
    zone: Uint8Array.from(alive, (f) => face.zone[f]!),
    owner: Int32Array.from(alive, (f) => face.owner[f]!),
    twin,
    trim: trimLine(indices, number.size),
  }
}

/** The one border of the face. */
function trimLine(indices: Uint32Array, vertices: number): Uint32Array {
  const edges = new Set<number>()
  const id = (a: number, b: number) => a * vertices + b
  for (let h = 0; h < indices.length; h++) edges.add(id(indices[h]!, indices[h % 3 === 2 ? h - 2 : h + 1]!))
  const after = new Map<number, number>()
  for (let h = 0; h < indices.length; h++) {
    const a = indices[h]!
    const b = indices[h % 3 === 2 ? h - 2 : h + 1]!
    if (!edges.has(id(b, a))) after.set(a, b)
  }
  const first = after.keys().next().value
  if (first === undefined) throw new Error('fitting: a moulded face has no border')
  const loop = [first]
  for (let v = after.get(first)!; v !== first; v = after.get(v)!) {
    loop.push(v)
    if (loop.length > after.size) throw new Error('fitting: the border of a moulded face does not close')
  }
  if (loop.length !== after.size) throw new Error('fitting: a moulded face has more than one border')
  return Uint32Array.from(loop)
}
