/** Joins pointer and drawing: hover probes, click chooses, a fitting that is grabbed is moved. */
import { type RefObject, useEffect } from 'react'
import { listenToPointer } from '../camera/pointer'
import { type FittingDrag, startFittingDrag } from './move-fitting'
import { clickAt, type Pointing, pointAt, under } from './point-at'

export interface PointerWish {
  readonly pointing: Pointing
  readonly hand: RefObject<HTMLElement | null>
}

export function usePointer({ pointing, hand }: PointerWish): void {
  useEffect(() => {
    const element = hand.current
    if (!element) return
    const { stores, sheet, rig, picks } = pointing
    let drag: FittingDrag | null = null
    // A card of a place that has moved away under the pointer would be of another place.
    let hoverEye = rig.now().eye
    const stopWatching = rig.onPicture(({ eye }) => {
      if (eye !== hoverEye && sheet.getState().hover && !sheet.getState().cross) sheet.setState({ hover: null })
    })
    const stopListening = listenToPointer(element, rig, {
      hover(place) {
        hoverEye = rig.now().eye
        if (place) sheet.setState({ cross: null })
        else if (sheet.getState().cross) return
        const hit = pointAt(pointing, place)
        const { measuring } = stores.session.getState()
        element.style.cursor = hit?.kind === 'fitting' && !measuring ? 'move' : hit ? 'crosshair' : 'grab'
      },
      grab(x, y) {
        const { measuring, placing, asked } = stores.session.getState()
        if (measuring || placing || asked) return false
        const hit = under(pointing, x, y)
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
        clickAt(pointing, { x, y })
      },
      turned: () => {
        if (!sheet.getState().turned) sheet.setState({ turned: true })
      },
    })
    return () => {
      stopListening()
      stopWatching()
    }
  }, [pointing, hand])
}
