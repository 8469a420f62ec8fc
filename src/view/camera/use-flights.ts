/** When the eye moves by itself: to a named view, to a finding, and to the whole when another frame arrives. */
import { useEffect, useRef } from 'react'
import { useStore } from 'zustand'
import { findingsAtHand } from '../../state/results'
import { findingPlace } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import type { Room } from '../room'
import type { SheetStore } from '../sheet-store'
import { reducedMotion } from '../theme'
import { type Eye, fieldOf, fitClear, fitEye, lookingEye, scaleOfField, turnedTo, type Vec3 } from './eye'
import type { EyeRig } from './eye-rig'
import { VIEW_ANGLES } from './views'

/** A finding is looked at so much closer than the whole. */
const CLOSER = 2.1
/** What one at the helm takes in from top to bottom at first, and how far above the horizontal, degrees. */
const FIELD_DEG = 52
const LOOK_UP_DEG = 6

export function useFlights(
  stores: Stores,
  sheet: SheetStore,
  rig: EyeRig,
  room: Room,
  /** What must be in sight; another array means another thing to look at. */
  points: readonly Vec3[],
  /** Where the eyes of the one at the helm are. */
  helm: Vec3,
): void {
  const view = useStore(stores.session, (s) => s.view)
  const asked = useStore(stores.session, (s) => s.viewAsked)
  const chosen = useStore(stores.session, (s) => s.finding)
  const fitted = useRef<{ points: readonly Vec3[]; room: Room; view: string; asked: number; helm: Vec3 } | null>(null)

  useEffect(() => {
    if (points.length === 0) return
    const before = fitted.current
    fitted.current = { points, room, view, asked, helm }
    if (view === 'helm') {
      const { eye } = rig.now()
      // Another window or another helm: the head stays turned as it was.
      const again = before?.view === view && before.asked === asked && eye.central
      const field = again ? fieldOf(eye, before.room.free).high_deg : FIELD_DEG
      const scale = scaleOfField(field, room.free)
      rig.set(again ? { ...eye, target: helm, pxPerMm: scale } : lookingEye(helm, 0, LOOK_UP_DEG, scale))
      if (!again) sheet.setState({ turned: false })
      return
    }
    const whole = fitClear(VIEW_ANGLES[view], points, room.free, standing(room))
    if (!before) rig.set(whole)
    else if (before.view !== view || before.asked !== asked) {
      rig.flyTo(whole, reducedMotion())
      sheet.setState({ turned: false })
    } else if (before.room !== room || before.points !== points) {
      // The window or the shell changed: a view that stands is fitted anew, one that was turned keeps its place.
      if (sheet.getState().turned || stores.session.getState().finding) rig.set(rig.now().eye)
      else rig.flyTo(whole, reducedMotion() || before.points !== points)
    }
  }, [stores, sheet, rig, room, points, view, asked, helm])

  const sight = useRef(points)
  useEffect(() => {
    sight.current = points
  }, [points])
  const lookAt = useStore(stores.session, (s) => s.lookAt)
  useEffect(() => {
    if (lookAt === null || sight.current.length === 0) return
    if (rig.now().eye.central) {
      rig.flyTo(turnedTo(rig.now().eye, lookAt), reducedMotion())
      return
    }
    const { view: name } = stores.session.getState()
    if (name === 'helm') return
    const angles = VIEW_ANGLES[name]
    const { pxPerMm } = fitEye(angles, sight.current, room.free)
    rig.flyTo({ ...angles, target: [lookAt[0], lookAt[1], lookAt[2]], pxPerMm: pxPerMm * CLOSER }, reducedMotion())
  }, [stores, rig, room, lookAt])

  useEffect(() => {
    if (chosen === null || sight.current.length === 0) return
    const { steps } = stores.results.getState()
    const finding = findingsAtHand(steps).find((f) => f.id === chosen)
    const spot = finding ? findingPlace(finding, steps) : null
    if (!spot) return
    // The question may have changed with it: its own view, closer, with the spot in the middle.
    const { view: name } = stores.session.getState()
    if (name === 'helm') {
      rig.flyTo(turnedTo(rig.now().eye, spot), reducedMotion())
      return
    }
    const angles = VIEW_ANGLES[name]
    const whole = fitEye(angles, sight.current, room.free)
    const near: Eye = { ...angles, target: spot, pxPerMm: whole.pxPerMm * CLOSER }
    rig.flyTo(near, reducedMotion())
  }, [stores, rig, chosen, room.free])
}

/** What the drawing should not lie under: boxes as they are, of the glass what fills its circle. */
const standing = ({ legend, title, glass }: Room) => [
  ...(legend ? [legend] : []),
  ...(title ? [title] : []),
  ...(glass
    ? [
        {
          left: glass.cx - glass.r * 0.85,
          top: glass.cy - glass.r * 0.85,
          right: glass.cx + glass.r * 0.85,
          bottom: glass.cy + glass.r * 0.85,
        },
      ]
    : []),
]
