/** Legs, floor and people are cut off a scan: only what lies in a box, or on one side of a plane, is kept. */
import { type Matrix4, threeRows } from '../geometry/axes'
import type { Steps } from '../geometry/kernel'
import { facetCount, type Mesh } from '../geometry/mesh'
import { type Finding, Refused } from '../geometry/trouble'
import { words } from './raw-mesh'
import { keep, type Repaired, unchanged } from './repaired'
import type { Repair } from './types'

/** Asked in scan axes, mm. */
type Inside = (x: number, y: number, z: number) => boolean

/** @throws Refused `setting-impossible` for a motion that is not rigid */
export function insideBox({ min, max, motion }: Extract<Repair, { kind: 'crop-box' }>): Inside {
  const within: Inside = (x, y, z) =>
    x >= min[0] && x <= max[0] && y >= min[1] && y <= max[1] && z >= min[2] && z <= max[2]
  if (!motion) return within
  const [a, b, c, d, e, f, g, h, i, j, k, l] = rigidMotion(motion)
  return (x, y, z) => within(a * x + b * y + c * z + d, e * x + f * y + g * z + h, i * x + j * y + k * z + l)
}

/** @throws Refused `setting-impossible` for a normal without a length */
export function behindPlane({ normal: [nx, ny, nz], offset_mm }: Extract<Repair, { kind: 'crop-plane' }>): Inside {
  const length = Math.sqrt(nx * nx + ny * ny + nz * nz)
  if (!(length > 0)) throw new Refused('setting-impossible', 'A crop plane needs a normal with a length; give one.')
  const limit = offset_mm * length
  return (x, y, z) => nx * x + ny * y + nz * z <= limit
}

/** @throws Refused `setting-impossible` for a matrix that stretches or shears: a box of another shape was not meant */
function rigidMotion(m: Matrix4) {
  for (let r = 0; r < 3; r++)
    for (let q = r; q < 3; q++) {
      let sum = 0
      for (let k = 0; k < 3; k++) sum += m[4 * r + k]! * m[4 * q + k]!
      if (!(Math.abs(sum - (r === q ? 1 : 0)) < 1e-3))
        throw new Refused('setting-impossible', 'The motion of a crop box must be rigid; give one, or leave it out.')
    }
  return threeRows(m)
}

/**
 * Keeps the facets whose middle is `inside`.
 *
 * @param number place of the repair in the job, from 1
 * @throws Refused `setting-impossible` where nothing would be left
 */
export function* crop(
  mesh: Mesh<'scan'>,
  unseenFacet: Uint8Array,
  number: number,
  what: 'box' | 'plane',
  inside: Inside,
): Steps<Repaired> {
  const { positions: p, indices, origin } = mesh
  const rest = yield* keep(mesh, unseenFacet, (f) => {
    const a = indices[f * 3]! * 3
    const b = indices[f * 3 + 1]! * 3
    const c = indices[f * 3 + 2]! * 3
    return inside(
      (p[a]! + p[b]! + p[c]!) / 3 + origin[0],
      (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3 + origin[1],
      (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3 + origin[2],
    )
  })
  const facetsDropped = facetCount(mesh) - facetCount(rest.mesh)
  if (facetCount(rest.mesh) === 0)
    throw new Refused(
      'setting-impossible',
      `The crop by ${what} (repair ${number}) leaves nothing of the scan; move it or undo it.`,
    )
  if (facetsDropped === 0) return unchanged(mesh, unseenFacet)
  const finding: Finding = {
    id: `scan.cropped.${number}`,
    step: 'scan',
    severity: 'note',
    message: `${words(facetsDropped)} of ${words(facetCount(mesh))} facets were cropped by ${what}; where metal was cut, the cut counts as a rim (unseen beyond).`,
    value: facetsDropped,
  }
  return { ...rest, findings: [finding], islandsDropped: 0, facetsDropped }
}
