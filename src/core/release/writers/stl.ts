/** Binary STL: 80 bytes of words, the count, then 50 bytes a facet; little-endian. */
import { facetCount, type Mesh } from '../../geometry/mesh'

/**
 * @param mesh any axes; the origin is added, so the file stands where the mesh stands
 * @param words up to 80 characters of ASCII for the header; must not begin with `solid`, which would look like ASCII STL
 * @returns the file; coordinates are Float32 of `origin + position`, normals from the corners as written (0,0,0 without area)
 * @example const bytes = writeStl(shell, 'inner surface, mm, job axes')
 */
export function writeStl(mesh: Mesh, words = 'triangle mesh, mm'): Uint8Array {
  if (words.startsWith('solid')) throw new Error('release: a binary STL must not begin with "solid"')
  const facets = facetCount(mesh)
  const bytes = new Uint8Array(84 + 50 * facets)
  for (let i = 0; i < 80; i++) bytes[i] = i < words.length ? words.charCodeAt(i) & 127 : 32
  const { positions, indices } = mesh
  const [ox, oy, oz] = mesh.origin
  const view = new DataView(bytes.buffer)
  view.setUint32(80, facets, true)
  const numbers = new Float32Array(12) // of one facet: normal and corners
  for (let f = 0, at = 84; f < facets; f++, at += 50) {
    for (let c = 0; c < 3; c++) {
      const v = indices[f * 3 + c]! * 3
      numbers[3 * c + 3] = ox + positions[v]!
      numbers[3 * c + 4] = oy + positions[v + 1]!
      numbers[3 * c + 5] = oz + positions[v + 2]!
    }
    const ax = numbers[6]! - numbers[3]!
    const ay = numbers[7]! - numbers[4]!
    const az = numbers[8]! - numbers[5]!
    const bx = numbers[9]! - numbers[3]!
    const by = numbers[10]! - numbers[4]!
    const bz = numbers[11]! - numbers[5]!
    const nx = ay * bz - az * by
    const ny = az * bx - ax * bz
    const nz = ax * by - ay * bx
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1
    numbers[0] = nx / length
    numbers[1] = ny / length
    numbers[2] = nz / length
    for (let k = 0; k < 12; k++) view.setFloat32(at + 4 * k, numbers[k]!, true)
  }
  return bytes
}
