import { type Axes, handedness, type Matrix4, type Point, threeRows, transformPoint } from './axes'

/**
 * A triangle mesh: flat arrays and nothing else, so that it crosses to a worker as it is.
 *
 * Positions are Float32 about a local origin that is kept in double: at 10 m from the origin a Float32 step is already
 * 0.001 mm, at 4.5 km (site coordinates) half a millimetre. Meshes in job axes have their origin at 0,0,0.
 */
export interface Mesh<A extends Axes = Axes> {
  readonly axes: A
  /** Name by content (`meshId`): equal meshes have equal ids. Caches and facet fields refer to it. */
  readonly id: string
  /** mm about `origin`, three per vertex. */
  readonly positions: Float32Array
  /** Three vertex numbers per facet, counter-clockwise seen from outside. */
  readonly indices: Uint32Array
  /** mm; a vertex stands at `origin + position`. */
  readonly origin: Point<A>
}

export const facetCount = (mesh: Mesh): number => mesh.indices.length / 3
export const vertexCount = (mesh: Mesh): number => mesh.positions.length / 3

/** Makes a mesh of its arrays and names it. The arrays are taken over, not copied. */
export function makeMesh<A extends Axes>(
  axes: A,
  positions: Float32Array,
  indices: Uint32Array,
  origin: Point<A> = [0, 0, 0],
): Mesh<A> {
  if (positions.length % 3 !== 0 || indices.length % 3 !== 0)
    throw new Error('geometry: positions and indices come in threes')
  return { axes, id: meshId(positions, indices, origin), positions, indices, origin }
}

/**
 * Name of a mesh by its content: a 64-bit non-cryptographic hash over the words of both arrays, 16 hex digits. It is the
 * same in every engine (integer arithmetic only). It tells meshes apart in caches; signatures use SHA-256.
 */
export function meshId(positions: Float32Array, indices: Uint32Array, origin: Point): string {
  const state = Int32Array.of(0x9e3779b9 ^ positions.length, 0x85ebca6b ^ indices.length)
  mixWords(state, new Uint32Array(positions.buffer, positions.byteOffset, positions.length))
  mixWords(state, indices)
  mixWords(state, new Uint32Array(new Float64Array(origin).buffer))
  const finish = (h: number) => {
    h = Math.imul(h ^ (h >>> 16), 0x85ebca6b)
    h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
    return ((h ^ (h >>> 16)) >>> 0).toString(16).padStart(8, '0')
  }
  return finish(state[0]!) + finish(state[1]!)
}

/** A loop of its own with its state in locals: through a closure the same words took nearly five times as long (41 against 9 ms a million facets). */
function mixWords(state: Int32Array, words: Uint32Array): void {
  let a = state[0]!
  let b = state[1]!
  for (let i = 0; i < words.length; i++) {
    const word = words[i]!
    a = Math.imul(a ^ word, 0xcc9e2d51)
    a = (a << 15) | (a >>> 17)
    b = Math.imul(b ^ word, 0x1b873593)
    b = (((b << 13) | (b >>> 19)) + a) | 0
  }
  state[0] = a
  state[1] = b
}

/**
 * The mesh moved by a matrix into other axes; a mirroring matrix also turns the facets, so that outside stays outside.
 * Computed in double, rounded once to Float32 about `origin` (default 0,0,0).
 */
export function transformMesh<B extends Axes>(
  mesh: Mesh,
  matrix: Matrix4,
  axes: B,
  origin: Point<B> = [0, 0, 0],
): Mesh<B> {
  const { positions } = mesh
  const moved = new Float32Array(positions.length)
  const [m00, m01, m02, , m10, m11, m12, , m20, m21, m22] = threeRows(matrix)
  // The mesh's own origin is moved once, in double, so that a far scan loses nothing.
  const [tx, ty, tz] = transformPoint(matrix, mesh.origin)
  const dx = tx - origin[0]
  const dy = ty - origin[1]
  const dz = tz - origin[2]
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i]!
    const y = positions[i + 1]!
    const z = positions[i + 2]!
    moved[i] = m00 * x + m01 * y + m02 * z + dx
    moved[i + 1] = m10 * x + m11 * y + m12 * z + dy
    moved[i + 2] = m20 * x + m21 * y + m22 * z + dz
  }
  const indices = mesh.indices.slice()
  if (handedness(matrix) < 0)
    for (let f = 0; f < indices.length; f += 3) {
      const keep = indices[f + 1]!
      indices[f + 1] = indices[f + 2]!
      indices[f + 2] = keep
    }
  return makeMesh(axes, moved, indices, origin)
}

/** The same surface seen from its other side: every facet turned, same order of facets and vertices. */
export function turnedOver<A extends Axes>(mesh: Mesh<A>): Mesh<A> {
  const indices = mesh.indices.slice()
  for (let f = 0; f < indices.length; f += 3) {
    indices[f + 1] = mesh.indices[f + 2]!
    indices[f + 2] = mesh.indices[f + 1]!
  }
  return makeMesh(mesh.axes, mesh.positions, indices, mesh.origin)
}

/** Box around all vertices, mm, with the origin added. An empty mesh gives an inverted box. */
export function bounds(mesh: Mesh): { min: [number, number, number]; max: [number, number, number] } {
  const min: [number, number, number] = [Infinity, Infinity, Infinity]
  const max: [number, number, number] = [-Infinity, -Infinity, -Infinity]
  const { positions, origin } = mesh
  for (let i = 0; i < positions.length; i += 3)
    for (let k = 0; k < 3; k++) {
      const v = positions[i + k]!
      if (v < min[k]!) min[k] = v
      if (v > max[k]!) max[k] = v
    }
  for (let k = 0; k < 3; k++) {
    min[k]! += origin[k]!
    max[k]! += origin[k]!
  }
  return { min, max }
}

/** Middle of a facet, axes of the mesh, mm. */
export function facetMiddle(mesh: Mesh, f: number): [number, number, number] {
  const { positions: p, indices, origin } = mesh
  const a = 3 * indices[3 * f]!
  const b = 3 * indices[3 * f + 1]!
  const c = 3 * indices[3 * f + 2]!
  return [
    (p[a]! + p[b]! + p[c]!) / 3 + origin[0],
    (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3 + origin[1],
    (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3 + origin[2],
  ]
}
