/**
 * Pointer, wheel and keys over the drawing: turn, move, zoom to the pointer, hover, click, drag a fitting. Mouse, pen and
 * touch alike; two fingers move and zoom.
 */
import { type Eye, unproject, type Vec3, zoomAbout } from './eye'
import type { EyeRig } from './eye-rig'

export interface PointerHands {
  /** The pointer rests at a place of the sheet; null when it leaves. At most once per picture. */
  hover(place: { x: number; y: number } | null): void
  /** True takes the pointer: what follows is a drag of what lies there. */
  grab(x: number, y: number): boolean
  drag(x: number, y: number): void
  drop(): void
  click(x: number, y: number): void
  /** The person turned the drawing away from its named view. */
  turned(): void
}

const TURN_DEG_PER_PX = 0.32
const CLICK_PX = 4
/** A wheel does not say when the hand leaves it. */
const WHEEL_REST_MS = 260

export function listenToPointer(element: HTMLElement, rig: EyeRig, hands: PointerHands): () => void {
  const down = new Map<number, { x: number; y: number }>()
  let doing: 'turn' | 'move' | 'drag' | 'pinch' | null = null
  let travelled = 0
  let hoverFrame = 0
  let wheelRest: ReturnType<typeof setTimeout> | undefined
  let hoverAt: { x: number; y: number } | null = null

  const placeOf = (e: { clientX: number; clientY: number }) => {
    const box = element.getBoundingClientRect()
    return { x: e.clientX - box.left, y: e.clientY - box.top }
  }

  const hoverSoon = (place: { x: number; y: number } | null) => {
    hoverAt = place
    if (hoverFrame) return
    hoverFrame = requestAnimationFrame(() => {
      hoverFrame = 0
      hands.hover(hoverAt)
    })
  }

  const onDown = (e: PointerEvent) => {
    const at = placeOf(e)
    element.setPointerCapture(e.pointerId)
    down.set(e.pointerId, at)
    travelled = 0
    rig.hold(true)
    hoverSoon(null)
    if (down.size === 2) {
      if (doing === 'drag') hands.drop()
      doing = 'pinch'
    } else if (e.button === 0 && !e.shiftKey && hands.grab(at.x, at.y)) doing = 'drag'
    else doing = e.button === 0 && !e.shiftKey ? 'turn' : 'move'
  }

  const onMove = (e: PointerEvent) => {
    const at = placeOf(e)
    const before = down.get(e.pointerId)
    if (!before) {
      if (e.pointerType !== 'touch') hoverSoon(at)
      return
    }
    const dx = at.x - before.x
    const dy = at.y - before.y
    travelled += Math.abs(dx) + Math.abs(dy)
    if (doing === 'pinch') {
      pinch(e.pointerId, at)
      return
    }
    down.set(e.pointerId, at)
    if (doing === 'drag') hands.drag(at.x, at.y)
    else if (travelled > CLICK_PX) {
      const { eye } = rig.now()
      rig.set(doing === 'turn' ? turnedBy(eye, dx, dy) : movedBy(rig, dx, dy))
      hands.turned()
    }
  }

  const pinch = (id: number, at: { x: number; y: number }) => {
    const other = [...down.entries()].find(([key]) => key !== id)?.[1]
    const before = down.get(id)
    if (!other || !before) return
    const was = Math.hypot(before.x - other.x, before.y - other.y) || 1
    const is = Math.hypot(at.x - other.x, at.y - other.y)
    rig.set(movedBy(rig, (at.x - before.x) / 2, (at.y - before.y) / 2))
    const { eye, free } = rig.now()
    rig.set(zoomAbout(eye, free, (at.x + other.x) / 2, (at.y + other.y) / 2, is / was))
    down.set(id, at)
    hands.turned()
  }

  const onUp = (e: PointerEvent) => {
    const at = down.get(e.pointerId)
    if (!at) return
    down.delete(e.pointerId)
    if (doing === 'drag') hands.drop()
    if (doing !== 'pinch' && travelled <= CLICK_PX && e.type === 'pointerup') hands.click(at.x, at.y)
    if (down.size === 0) {
      doing = null
      rig.hold(false)
    } else if (doing === 'pinch') doing = 'turn'
  }

  const onWheel = (e: WheelEvent) => {
    e.preventDefault()
    const at = placeOf(e)
    const { eye, free } = rig.now()
    const unit = e.deltaMode === 1 ? 16 : e.deltaMode === 2 ? 400 : 1
    rig.hold(true)
    clearTimeout(wheelRest)
    wheelRest = setTimeout(() => rig.hold(down.size > 0), WHEEL_REST_MS)
    rig.set(zoomAbout(eye, free, at.x, at.y, Math.exp(-e.deltaY * unit * (e.ctrlKey ? 0.008 : 0.0015))))
    hands.turned()
  }

  const onLeave = () => hoverSoon(null)
  const onMenu = (e: Event) => e.preventDefault()

  element.addEventListener('pointerdown', onDown)
  element.addEventListener('pointermove', onMove)
  element.addEventListener('pointerup', onUp)
  element.addEventListener('pointercancel', onUp)
  element.addEventListener('pointerleave', onLeave)
  element.addEventListener('wheel', onWheel, { passive: false })
  element.addEventListener('contextmenu', onMenu)
  return () => {
    cancelAnimationFrame(hoverFrame)
    clearTimeout(wheelRest)
    rig.hold(false)
    hands.hover(null)
    element.removeEventListener('pointerdown', onDown)
    element.removeEventListener('pointermove', onMove)
    element.removeEventListener('pointerup', onUp)
    element.removeEventListener('pointercancel', onUp)
    element.removeEventListener('pointerleave', onLeave)
    element.removeEventListener('wheel', onWheel)
    element.removeEventListener('contextmenu', onMenu)
  }
}

function turnedBy(eye: Eye, dx: number, dy: number): Eye {
  if (eye.central) {
    // What is under the pointer follows it: the head turns the other way.
    const degrees = 180 / Math.PI / (eye.pxPerMm * 1000)
    return {
      ...eye,
      azimuth_deg: eye.azimuth_deg + dx * degrees,
      elevation_deg: Math.min(Math.max(eye.elevation_deg - dy * degrees, -89), 89),
    }
  }
  return {
    ...eye,
    azimuth_deg: eye.azimuth_deg - dx * TURN_DEG_PER_PX,
    elevation_deg: Math.min(Math.max(eye.elevation_deg + dy * TURN_DEG_PER_PX, -89), 90),
  }
}

function movedBy(rig: EyeRig, dx: number, dy: number): Eye {
  const { eye, basis, free } = rig.now()
  // Who stands at the helm does not walk by a drag.
  if (eye.central) return turnedBy(eye, dx, dy)
  const from: Vec3 = unproject(eye, basis, free, 0, 0)
  const to: Vec3 = unproject(eye, basis, free, dx, dy)
  return { ...eye, target: eye.target.map((t, k) => t - (to[k]! - from[k]!)) as unknown as Vec3 }
}

/** The head turns so far by a key, degrees; with Shift by one. */
const LOOK_DEG = 5

/** Arrows turn (with Shift move), plus and minus zoom. Null: the key says nothing here. */
export function eyeAfterKey(rig: EyeRig, key: string, shift: boolean): Eye | null {
  const arrows: Readonly<Record<string, readonly [number, number]>> = {
    ArrowLeft: [-1, 0],
    ArrowRight: [1, 0],
    ArrowUp: [0, -1],
    ArrowDown: [0, 1],
  }
  const { eye, free } = rig.now()
  const by = arrows[key]
  if (by && eye.central) {
    const step = shift ? 1 : LOOK_DEG
    const elevation_deg = Math.min(Math.max(eye.elevation_deg + by[1] * step, -89), 89)
    return { ...eye, azimuth_deg: eye.azimuth_deg - by[0] * step, elevation_deg }
  }
  if (by) return shift ? movedBy(rig, -by[0] * 24, -by[1] * 24) : turnedBy(eye, -by[0] * 16, -by[1] * 16)
  const middle = [free.left + free.width / 2, free.top + free.height / 2] as const
  if (key === '+' || key === '=') return zoomAbout(eye, free, ...middle, 1.2)
  if (key === '-' || key === '_') return zoomAbout(eye, free, ...middle, 1 / 1.2)
  return null
}
