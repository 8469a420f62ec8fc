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
  const view = new DataView(bytes.buffer)
  view.setUint32(80, facets, true)
  const { positions, indices, origin } = mesh
  const corner = new Float32Array(9)
  for (let f = 0, at = 84; f < facets; f++, at += 50) {
    for (let c = 0; c < 3; c++) {
      const v = indices[f * 3 + c]! * 3
      for (let k = 0; k < 3; k++) corner[c * 3 + k] = origin[k]! + positions[v + k]!
    }
    const [ax, ay, az] = [corner[3]! - corner[0]!, corner[4]! - corner[1]!, corner[5]! - corner[2]!]
    const [bx, by, bz] = [corner[6]! - corner[0]!, corner[7]! - corner[1]!, corner[8]! - corner[2]!]
    const [nx, ny, nz] = [ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx]
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1
    view.setFloat32(at, nx / length, true)
    view.setFloat32(at + 4, ny / length, true)
    view.setFloat32(at + 8, nz / length, true)
    for (let k = 0; k < 9; k++) view.setFloat32(at + 12 + 4 * k, corner[k]!, true)
  }
  return bytes
}
