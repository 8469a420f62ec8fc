/**
 * From loose corners to an indexed mesh: corners whose three Float32 numbers are the same become one vertex.
 *
 * Exact first, tolerance only on request: exact equality welds the 36 corners of a written cube to its 8 vertices, while a
 * tolerance may close real gaps. A hash table with open addressing on typed arrays; a small first-level cache in front of
 * it was tried by others and lost.
 */
import { BLOCK, type Steps, within } from './kernel'
import { spatialOrder } from './spatial-order'

export interface WeldedPoints {
  /** Three per vertex, in the order of first appearance. */
  readonly positions: Float32Array
  /** Vertex of each point given. */
  readonly vertexOf: Uint32Array
  /** How many points fell together with an earlier one. */
  readonly welded: number
}

export interface Welded {
  /** Three per vertex, same unit as the corners. */
  readonly positions: Float32Array
  /** Three per facet. */
  readonly indices: Uint32Array
  /** Corners that fell together with another corner. */
  readonly welded: number
}

/**
 * Welds loose facets, keeping the order of facets; vertices come in the order of first use.
 *
 * @param corners nine numbers per facet, all finite
 * @example const { positions, indices } = drain(weld(cornersOfACube)) // 36 corners in, 8 vertices out
 */
export function* weld(corners: Float32Array): Steps<Welded> {
  const { positions, vertexOf, welded } = yield* weldPoints(corners)
  return { positions, indices: vertexOf, welded }
}

/** `weld`, then vertices and facets sorted along a space-filling curve; `facetFrom` tells each facet's place in the input. */
export function* weldInOrder(corners: Float32Array): Steps<Welded & { readonly facetFrom: Uint32Array }> {
  const loose = yield* within(0, 0.6, 'weld', weld(corners))
  const ordered = yield* within(0.6, 1, 'spatial order', spatialOrder(loose.positions, loose.indices))
  return { ...ordered, welded: loose.welded }
}

/**
 * Welds points. Equal means equal bit for bit, except that −0 counts as 0.
 *
 * @param points three per point
 */
export function* weldPoints(points: Float32Array): Steps<WeldedPoints> {
  if (points.length % 3 !== 0) throw new Error('geometry: points come in threes')
  const count = points.length / 3
  const bits = new Uint32Array(points.buffer, points.byteOffset, points.length)
  const vertexOf = new Uint32Array(count)

  // A closed mesh has about one vertex to six corners: start there, grow when the input turns out looser.
  let room = Math.max(16, Math.ceil(count / 5))
  let found = new Uint32Array(room * 3) // bits of the vertices found so far
  let slots = 32
  while (slots < room * 2) slots *= 2
  let table = new Int32Array(slots).fill(-1)
  let vertices = 0

  for (let start = 0; start < count; start += BLOCK) {
    const end = Math.min(count, start + BLOCK)
    if (vertices + BLOCK > room) {
      room = Math.ceil(Math.max(room * 1.6, vertices + BLOCK))
      const larger = new Uint32Array(room * 3)
      larger.set(found.subarray(0, vertices * 3))
      found = larger
    }
    if ((vertices + BLOCK) * 1.6 > slots) {
      while ((vertices + BLOCK) * 1.6 > slots) slots *= 2
      table = rehashed(found, vertices, slots)
    }
    const mask = slots - 1
    for (let p = start; p < end; p++) {
      let x = bits[p * 3]!
      let y = bits[p * 3 + 1]!
      let z = bits[p * 3 + 2]!
      if (x === MINUS_ZERO) x = 0
      if (y === MINUS_ZERO) y = 0
      if (z === MINUS_ZERO) z = 0
      let slot = hash(x, y, z) & mask
      for (;;) {
        const v = table[slot]!
        if (v < 0) {
          table[slot] = vertices
          found[vertices * 3] = x
          found[vertices * 3 + 1] = y
          found[vertices * 3 + 2] = z
          vertexOf[p] = vertices++
          break
        }
        if (found[v * 3] === x && found[v * 3 + 1] === y && found[v * 3 + 2] === z) {
          vertexOf[p] = v
          break
        }
        slot = (slot + 1) & mask
      }
    }
    yield end / count
  }
  const positions = new Float32Array(vertices * 3)
  new Uint32Array(positions.buffer).set(found.subarray(0, vertices * 3))
  return { positions, vertexOf, welded: count - vertices }
}

const MINUS_ZERO = 0x80000000

/**
 * Mixes the bits of three Float32. Round coordinates differ in their high bits only, so those are folded down before each
 * multiplication: without that a cube of 100³ whole millimetres took 32 looks per vertex, with it 1.5.
 */
function hash(x: number, y: number, z: number): number {
  let h = Math.imul(x ^ (x >>> 16), 0x8da6b343) ^ (y ^ (y >>> 16))
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d) ^ (z ^ (z >>> 16))
  h = Math.imul(h ^ (h >>> 13), 0x297a2d39)
  return h ^ (h >>> 15)
}

function rehashed(found: Uint32Array, vertices: number, slots: number): Int32Array<ArrayBuffer> {
  const table = new Int32Array(slots).fill(-1)
  const mask = slots - 1
  for (let v = 0; v < vertices; v++) {
    let slot = hash(found[v * 3]!, found[v * 3 + 1]!, found[v * 3 + 2]!) & mask
    while (table[slot]! >= 0) slot = (slot + 1) & mask
    table[slot] = v
  }
  return table
}
