import { useEffect } from 'react'
import type { BufferGeometry, Object3D } from 'three'
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'
import type { Vec3 } from '../camera/eye'
import type { PickKind, PickRegister } from '../picking/pick'

const NOT_LIFTED: Vec3 = [0, 0, 0]
const inPlace = () => NOT_LIFTED

export interface PickableWish {
  readonly kind: PickKind
  /** What the geometry was built of. */
  readonly mesh: Mesh
  /** The geometry was built of this copy of the mesh. */
  readonly copy?: DisplayCopy | null
  /** Tells where the part stands; none: where it was built. */
  readonly object?: Object3D
  readonly id?: string
  /** How far from its place the part is drawn just now. One function for good. */
  readonly lifted?: () => Vec3
}

/** Makes a geometry answer to the pointer while it is drawn. */
export function usePickable(picks: PickRegister, geometry: BufferGeometry | null, wish: PickableWish): void {
  const { kind, mesh, object = null, id = null, lifted = inPlace, copy = null } = wish
  useEffect(() => {
    if (!geometry) return
    return picks.add({ geometry, kind, object, id, mesh, copy, lifted })
  }, [picks, geometry, kind, object, id, mesh, copy, lifted])
}
