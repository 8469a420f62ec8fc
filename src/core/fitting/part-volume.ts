/** The volume of a part as its mesh encloses it, and what that weighs in a stuff of known density. */
import { adjacency, isClosed } from '../geometry/adjacency'
import { type Steps, within } from '../geometry/kernel'
import { massProperties } from '../geometry/measure'
import { type Mesh, vertexCount } from '../geometry/mesh'
import { Remembered } from '../geometry/remembered'

/** `open`: an edge lacks its second facet, or facets contradict each other; `inside-out`: its facets look inwards. */
export type NoVolume = 'open' | 'inside-out'

/** @returns mm3, or why there is none */
export function* partVolume(mesh: Mesh): Steps<number | NoVolume> {
  return volumes.get(mesh, '') ?? volumes.set(mesh, '', yield* measured(mesh), 1)
}

/** A part is the same at every drag. */
const volumes = new Remembered<number | NoVolume>()

function* measured(mesh: Mesh): Steps<number | NoVolume> {
  const across = yield* within(0, 0.7, 'edges', adjacency(mesh.indices, vertexCount(mesh)))
  if (!isClosed(across)) return 'open'
  const { volume_mm3 } = yield* within(0.7, 1, 'volume', massProperties(mesh))
  return volume_mm3 > 0 ? volume_mm3 : 'inside-out'
}

/** Densities, kg/m3: round figures of materials handbooks, from memory; a maker's data sheet goes before them. */
export const DENSITIES_KG_M3 = {
  'stainless-steel': 8000,
  aluminium: 2700,
  bronze: 8800,
  acetal: 1410,
  polycarbonate: 1200,
  acrylic: 1190,
  'glass-laminate': 1700,
  teak: 650,
} as const
export type Stuff = keyof typeof DENSITIES_KG_M3

/** kg of a part that is solid throughout. */
export const solidMass_kg = (volume_mm3: number, density_kg_m3: number): number => volume_mm3 * 1e-9 * density_kg_m3
