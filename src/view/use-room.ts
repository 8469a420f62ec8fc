/** Measures the sheet's place and says who stands where; tells the eye what part of the canvas is free. */
import { type RefObject, useEffect, useMemo, useState } from 'react'
import { useStore } from 'zustand'
import type { Stores } from '../state/stores'
import type { EyeRig } from './camera/eye-rig'
import { type Room, roomOf, SLIP_PX } from './room'
import type { SheetStore } from './sheet-store'

export function useRoom(
  stores: Stores,
  sheet: SheetStore,
  place: RefObject<HTMLElement | null>,
  rig: EyeRig,
  legend: boolean,
): Room {
  const [size, setSize] = useState({ width: 1080, height: 752 })
  const slip = useStore(stores.session, (s) => s.slip !== null)
  const spotAsked = useStore(stores.session, (s) => s.section !== null)
  const glassLarge = useStore(sheet, (s) => s.glassLarge)
  useEffect(() => {
    const element = place.current
    if (!element) return
    const watch = new ResizeObserver(() => {
      const { clientWidth, clientHeight } = element
      if (clientWidth > 0 && clientHeight > 0) setSize({ width: clientWidth, height: clientHeight })
    })
    watch.observe(element)
    return () => watch.disconnect()
  }, [place])
  const room = useMemo(
    () => roomOf({ ...size, slip_px: slip ? SLIP_PX : 0, legend, glassLarge, spotAsked }),
    [size, slip, legend, glassLarge, spotAsked],
  )
  useEffect(() => rig.setRoom(room.width, room.height, room.free), [rig, room])
  return room
}
