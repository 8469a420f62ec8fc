import type { Matrix4 } from '../geometry/axes'
import { BLOCK, type Steps } from '../geometry/kernel'
import { type Mesh, makeMesh, transformMesh } from '../geometry/mesh'
import type { ToolClass } from './tool-class'

export type ShellRole = 'underside' | 'topside'

/**
 * Job axes to tool axes: z along the spindle, up; the tool's metal below the face.
 *
 * The inner surface is moulded on a male plug that stands below it, so its tool face is the face as it is. The topside lies in
 * a female mould over it: turned over by half a turn about x. A plug for a production mould is the other half of each.
 *
 * @param shrinkage the tool is made larger by this factor, about the origin of the job: 1.002 for 0.2 %
 */
export function toToolAxes(role: ShellRole, made: ToolClass, shrinkage: number): Matrix4 {
  const s = (role === 'topside') === (made === 'direct') ? -shrinkage : shrinkage
  return [shrinkage, 0, 0, 0, 0, s, 0, 0, 0, 0, s, 0, 0, 0, 0, 1]
}

/** True if the tool is a male form: crown on top. */
export const isMale = (role: ShellRole, made: ToolClass): boolean => (role === 'underside') === (made === 'direct')

/** The face in tool axes with its facets looking up, whatever way they looked before. */
export function* toolFace(face: Mesh, matrix: Matrix4): Steps<Mesh<'part'>> {
  const moved = transformMesh(face, matrix, 'part')
  const { positions: p, indices } = moved
  let up = 0 // twice the summed plan area
  for (let f = 0; f < indices.length; f += 3) {
    const a = 3 * indices[f]!
    const b = 3 * indices[f + 1]!
    const c = 3 * indices[f + 2]!
    up += (p[b]! - p[a]!) * (p[c + 1]! - p[a + 1]!) - (p[b + 1]! - p[a + 1]!) * (p[c]! - p[a]!)
    if (f % (12 * BLOCK) === 0) yield f / indices.length
  }
  if (up >= 0) return moved
  const turned = indices.slice()
  for (let f = 0; f < turned.length; f += 3) {
    const keep = turned[f + 1]!
    turned[f + 1] = turned[f + 2]!
    turned[f + 2] = keep
  }
  return makeMesh('part', p, turned)
}
