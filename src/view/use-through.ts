/** Whether one looks through the shells: by the person's word, or because the spot that was asked for is hidden by one. */
import { useEffect, useState } from 'react'
import { useStore } from 'zustand'
import { findingsAtHand } from '../state/results'
import { findingPlace } from '../state/session-moves'
import type { Pointing } from './picking/point-at'
import { isKept } from './section/cut-side'

const SHELLS = ['underside', 'topside'] as const

export function useThrough({ stores, rig, picks, cut }: Pointing): boolean {
  const asked = useStore(stores.session, (s) => s.through)
  const chosen = useStore(stores.session, (s) => s.finding)
  const [hidden, setHidden] = useState(false)
  useEffect(() => {
    if (chosen === null) {
      setHidden(false)
      return
    }
    const { steps } = stores.results.getState()
    const finding = findingsAtHand(steps).find((f) => f.id === chosen)
    const spot = finding ? findingPlace(finding, steps) : null
    // Findings of the metal are under the shells; those of a shell lie on it.
    const metal = finding?.step === 'scan' || finding?.step === 'frame' || finding?.step === 'datum'
    if (!spot || !metal) {
      setHidden(false)
      return
    }
    // Looked at when the eye rests, not in every picture of a flight.
    const look = () => {
      if (rig.moving) return
      setHidden(isKept(cut, spot) && picks.hides(rig.now(), spot, SHELLS))
    }
    look()
    return rig.onPicture(look) as () => void
  }, [stores, rig, picks, cut, chosen])
  return asked || hidden
}
