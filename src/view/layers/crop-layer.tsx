/** Where a crop would cut: a plane about the metal or a box, drawn over everything. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import type { Mesh } from '../../core/geometry/mesh'
import { cropLines } from '../../state/crop'
import type { Stores } from '../../state/stores'
import type { Theme } from '../theme'
import { FatLine } from './fat-line'

export function CropLayer({ stores, mesh, theme }: { stores: Stores; mesh: Mesh; theme: Theme }) {
  const crop = useStore(stores.session, (s) => (s.slip === 'scan' ? s.crop : null))
  const segments = useMemo(() => crop && cropLines(crop, mesh), [crop, mesh])
  // A plane through metal is seen where the metal hides it.
  return segments && <FatLine segments={segments} colour={theme.blue} px={2.2} order={3} />
}
