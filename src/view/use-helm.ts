/** Where the one at the helm stands and looks from, and the figure that stands there for scale. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import { eyePlace } from '../core/fitting'
import { bodySizes } from '../core/fitting/body-sizes'
import { bounds } from '../core/geometry/mesh'
import type { Stores } from '../state/stores'
import type { Vec3 } from './camera/eye'
import { FIGURE_MM, type FigureStand, figurePlace } from './layers/figure-layer'
import type { Floor } from './layers/floor-layer'
import { useFrameMesh, useResult } from './use-drawn'

/** Job axes. It stays the same array while nothing of it changes. */
export function useHelmEye(stores: Stores): Vec3 {
  const people = useStore(stores.jobs, (s) => s.history.job.people)
  const frame = useFrameMesh(stores)
  const clearance = useResult(stores, 'clearance')
  return useMemo(() => {
    const deck_mm = people.deck_mm ?? (frame ? bounds(frame).min[2] : null)
    return eyePlace(people, deck_mm, clearance ? bounds(clearance.underside.face) : null)
  }, [people, frame, clearance])
}

/** At the helm as tall as the one who steers; without a helm beside the frame, of a stated height. */
export function useFigureStand(stores: Stores, floor: Floor | null): FigureStand | null {
  const { helm_mm, helmsman, deck_mm } = useStore(stores.jobs, (s) => s.history.job.people)
  return useMemo(() => {
    if (!floor) return null
    if (!helm_mm) return { at: figurePlace(floor), height_mm: FIGURE_MM }
    return { at: [helm_mm[0], helm_mm[1], deck_mm ?? floor.z], height_mm: bodySizes(helmsman).stature_mm }
  }, [floor, helm_mm, helmsman, deck_mm])
}
