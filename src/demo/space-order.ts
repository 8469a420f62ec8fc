import type { RawMesh } from './iso-mesh'
import type { Random } from './random'

/**
 * Orders vertices and facets along a curve through space, as a scanner's own mesh comes patch by patch; which corner a
 * facet starts with is chance. Rounded to Float32 here, once.
 */
export function inSpaceOrder(mesh: RawMesh, chance: Random): { positions: Float32Array; indices: Uint32Array } {
  const { positions, indices } = mesh
  const vertices = positions.length / 3
  const low = [Infinity, Infinity, Infinity]
  for (let v = 0; v < positions.length; v++) if (positions[v]! < low[v % 3]!) low[v % 3] = positions[v]!

  // Cells of 8 mm, ten bits a side (8 m); beyond that the curve folds back, which spoils order and nothing else.
  const keys = new Float64Array(vertices)
  for (let v = 0; v < vertices; v++) {
    let code = 0
    for (let k = 0; k < 3; k++) code |= spread(((positions[v * 3 + k]! - low[k]!) / 8) & 1023) << k
    keys[v] = code * 4194304 + v
  }
  keys.sort()
  const moved = new Float32Array(positions.length)
  const number = new Uint32Array(vertices)
  for (let n = 0; n < vertices; n++) {
    const v = keys[n]! % 4194304
    number[v] = n
    for (let k = 0; k < 3; k++) moved[n * 3 + k] = positions[v * 3 + k]!
  }

  const facets = indices.length / 3
  const order = new Float64Array(facets)
  for (let f = 0; f < facets; f++) {
    const least = Math.min(number[indices[f * 3]!]!, number[indices[f * 3 + 1]!]!, number[indices[f * 3 + 2]!]!)
    order[f] = least * 8388608 + f
  }
  order.sort()
  const turned = new Uint32Array(indices.length)
  for (let n = 0; n < facets; n++) {
    const f = order[n]! % 8388608
    const start = chance.whole(0, 2)
    for (let e = 0; e < 3; e++) turned[n * 3 + e] = number[indices[f * 3 + ((start + e) % 3)]!]!
  }
  return { positions: moved, indices: turned }
}

/** Ten bits, two empty places after each. */
function spread(bits: number): number {
  let b = bits
  b = (b | (b << 16)) & 0x030000ff
  b = (b | (b << 8)) & 0x0300f00f
  b = (b | (b << 4)) & 0x030c30c3
  b = (b | (b << 2)) & 0x09249249
  return b
}
