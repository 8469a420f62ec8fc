import { type Matrix4, multiply } from '../geometry/axes'
import { type Mesh, makeMesh } from '../geometry/mesh'
import { Remembered } from '../geometry/remembered'

/** Mirror about the centreline plane y = 0. */
const MIRROR: Matrix4 = [1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]

/** The mirror image about y = 0: exact, since only signs change. Facets are turned, so volume keeps its sign. */
export function mirrorTwin(mesh: Mesh<'job'>): Mesh<'job'> {
  return twins.get(mesh, '') ?? twins.set(mesh, '', mirrored(mesh), 1)
}

/** The same object again for the same part, so that its search tree and its distances are found again. */
const twins = new Remembered<Mesh<'job'>>()

function mirrored(mesh: Mesh<'job'>): Mesh<'job'> {
  const positions = mesh.positions.slice()
  for (let i = 1; i < positions.length; i += 3) positions[i] = -positions[i]!
  const indices = mesh.indices.slice()
  for (let f = 0; f < indices.length; f += 3) {
    const keep = indices[f + 1]!
    indices[f + 1] = indices[f + 2]!
    indices[f + 2] = keep
  }
  const [x, y, z] = mesh.origin
  return makeMesh('job', positions, indices, [x, y === 0 ? 0 : -y, z])
}

export const mirroredPose = (pose: Matrix4): Matrix4 => multiply(MIRROR, pose)
