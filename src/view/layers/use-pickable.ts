import { useEffect } from 'react'
import type { BufferGeometry, Object3D } from 'three'
import type { PickKind, PickRegister } from '../picking/pick'

/** Makes a geometry answer to the pointer while it is drawn. `object` tells where it stands; null: where it was built. */
export function usePickable(
  picks: PickRegister,
  geometry: BufferGeometry | null,
  kind: PickKind,
  object: Object3D | null,
  id: string | null = null,
): void {
  useEffect(() => {
    if (!geometry) return
    return picks.add({ geometry, kind, object, id })
  }, [picks, geometry, kind, object, id])
}
