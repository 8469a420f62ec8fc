/** Joins pointer and drawing: hover probes, click chooses, a fitting that is grabbed is moved. */
import { type RefObject, useEffect } from 'react'
import { addPlace } from '../../state/placing'
import type { Stores } from '../../state/stores'
import type { EyeRig } from '../camera/eye-rig'
import { listenToPointer } from '../camera/pointer'
import { type Cut, isKept } from '../section/cut-side'
import type { SheetStore } from '../sheet-store'
import { type FittingDrag, startFittingDrag } from './move-fitting'
import type { PickRegister } from './pick'

export interface PointerWish {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly picks: PickRegister
  readonly hand: RefObject<HTMLElement | null>
  readonly cut: Cut | null
}

export function usePointer({ stores, sheet, rig, picks, hand, cut }: PointerWish): void {
  useEffect(() => {
    const element = hand.current
    if (!element) return
    let drag: FittingDrag | null = null
    // A card of a place that has moved away under the pointer would be of another place.
    let hoverEye = rig.now().eye
    const stopWatching = rig.onPicture(({ eye }) => {
      if (eye !== hoverEye && sheet.getState().hover) sheet.setState({ hover: null })
    })
    const under = (x: number, y: number) =>
      picks.pick(rig.now(), x, y, (kind, at) => kind === 'frame' || kind === 'fitting' || isKept(cut, at))
    const stopListening = listenToPointer(element, rig, {
      hover(place) {
        hoverEye = rig.now().eye
        const hit = place ? under(place.x, place.y) : null
        element.style.cursor = hit?.kind === 'fitting' ? 'move' : hit ? 'crosshair' : 'grab'
        sheet.setState({ hover: hit && place ? { ...hit, x: place.x, y: place.y } : null })
      },
      grab(x, y) {
        if (stores.session.getState().placing) return false
        const hit = under(x, y)
        if (hit?.kind !== 'fitting' || hit.id === null) return false
        stores.session.setState({ fitting: hit.id })
        drag = startFittingDrag(stores, picks, hit, rig.now(), x, y)
        if (drag) sheet.setState({ dragging: true })
        return drag !== null
      },
      drag: (x, y) => drag?.move(rig.now(), x, y),
      drop() {
        drag?.end()
        drag = null
        sheet.setState({ dragging: false })
      },
      click(x, y) {
        element.focus()
        const { placing } = stores.session.getState()
        if (placing) {
          const on = picks.pick(rig.now(), x, y, (kind) => kind === placing.shell)
          if (on) addPlace(stores, on.at)
          return
        }
        if (stores.session.getState().question !== 'live') return
        const hit = under(x, y)
        stores.session.setState({ fitting: hit?.kind === 'fitting' ? hit.id : null })
      },
      turned: () => {
        if (!sheet.getState().turned) sheet.setState({ turned: true })
      },
    })
    return () => {
      stopListening()
      stopWatching()
    }
  }, [stores, sheet, rig, picks, hand, cut])
}
