/** Meshes placed by matrices, joined into one: for formats that place one mesh many times. */
import { handedness, type Matrix4 } from '../geometry/axes'
import { BLOCK, type Steps } from '../geometry/kernel'

export interface Instance {
  readonly points: Float32Array | Float64Array
  readonly indices: Uint32Array
  /** Row by row; may scale. One that mirrors turns the facets, so that outside stays outside. */
  readonly matrix: Matrix4
}

/** Indices beyond an instance's own points stay beyond all points: they must not fall into the next instance. */
const NOWHERE = 0xffffffff

export function* placed(
  instances: readonly Instance[],
): Steps<{ readonly points: Float64Array; readonly indices: Uint32Array }> {
  let pointCount = 0
  let indexCount = 0
  for (const i of instances) {
    pointCount += i.points.length
    indexCount += i.indices.length
  }
  const points = new Float64Array(pointCount)
  const indices = new Uint32Array(indexCount)
  let p = 0
  let q = 0
  for (const { points: from, indices: facets, matrix: m } of instances) {
    const first = p / 3
    const count = from.length / 3
    for (let start = 0; start < from.length; start += BLOCK * 12) {
      const end = Math.min(from.length, start + BLOCK * 12)
      for (let i = start; i < end; i += 3) {
        const x = from[i]!
        const y = from[i + 1]!
        const z = from[i + 2]!
        points[p++] = m[0]! * x + m[1]! * y + m[2]! * z + m[3]!
        points[p++] = m[4]! * x + m[5]! * y + m[6]! * z + m[7]!
        points[p++] = m[8]! * x + m[9]! * y + m[10]! * z + m[11]!
      }
      yield 0.3 + (0.3 * p) / pointCount
    }
    const mirrored = handedness(m) < 0
    const place = (v: number) => (v < count ? first + v : NOWHERE)
    for (let start = 0; start < facets.length; start += BLOCK * 12) {
      const end = Math.min(facets.length, start + BLOCK * 12)
      for (let i = start; i < end; i += 3) {
        indices[q++] = place(facets[i]!)
        indices[q++] = place(facets[mirrored ? i + 2 : i + 1]!)
        indices[q++] = place(facets[mirrored ? i + 1 : i + 2]!)
      }
      yield 0.6 + (0.4 * q) / indexCount
    }
  }
  return { points, indices }
}
