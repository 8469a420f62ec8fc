/** Any mesh file that we read, by its content: scans, fittings and the meshes of `check` and `compare` all come in here. */
import type { Steps } from '../geometry/kernel'
import { assertNever } from '../geometry/trouble'
import type { MeshFile, RawMesh } from './raw-mesh'
import { read3mf } from './read-3mf'
import { readGlb, readGltf } from './read-gltf'
import { readObj } from './read-obj'
import { readPly } from './read-ply'
import { readAsciiStl, readBinaryStl } from './read-stl'
import { recognise } from './recognise'

/**
 * Points and facets as the file has them, in the file's unit: neither welded nor checked. `loadMesh` does both.
 *
 * @throws Refused with one sentence: what is wrong, where in the file, what to do
 * @example const raw = drain(readMeshFile({ name: 'frame.stl', bytes }))
 */
export function* readMeshFile(file: MeshFile): Steps<RawMesh> {
  const format = recognise(file)
  switch (format) {
    case 'stl-binary':
      return yield* readBinaryStl(file)
    case 'stl-ascii':
      return yield* readAsciiStl(file)
    case 'obj':
      return yield* readObj(file)
    case 'ply':
      return yield* readPly(file)
    case 'glb':
      return yield* readGlb(file)
    case 'gltf':
      return yield* readGltf(file)
    case '3mf':
      return yield* read3mf(file)
    default:
      return assertNever(format)
  }
}
