/**
 * Holds the eye of one sheet: where it is, where it flies, who must draw again. It lives outside of React, because it
 * changes with every frame.
 */
import { type Basis, basisOf, between, type Eye, type FreeBox } from './eye'

export interface EyeMoment {
  readonly eye: Eye
  readonly basis: Basis
  readonly free: FreeBox
  readonly width: number
  readonly height: number
}

export interface EyeRig {
  now(): EyeMoment
  /** Moves at once; a flight that is going on ends. */
  set(eye: Eye): void
  /** 400 ms, ending exactly there; at once where motion is unwanted. */
  flyTo(eye: Eye, still: boolean): void
  /** Size of the canvas and the part of it that nothing covers. The target stays in the middle of it. */
  setRoom(width: number, height: number, free: FreeBox): void
  /** A hand holds the drawing; what it moves may be drawn coarsely until it lets go. */
  hold(held: boolean): void
  /** In flight or held. */
  readonly moving: boolean
  /** Called by the canvas before each picture. Returns true while another picture is wanted. */
  step(clock_ms: number): boolean
  /** Asks the canvas for a picture. */
  onWant(want: () => void): () => void
  /** Asks for a picture although the eye stands still. */
  redraw(): void
  /** Called with each picture, so that what is drawn over it keeps in step. */
  onPicture(draw: (moment: EyeMoment) => void): () => void
  picture(): void
}

const FLIGHT_MS = 400

export function createEyeRig(): EyeRig {
  let eye: Eye = { azimuth_deg: -64, elevation_deg: 31, target: [0, 0, 0], pxPerMm: 0.4 }
  let flight: { from: Eye; to: Eye; since_ms: number | null } | null = null
  let held = false
  let width = 1
  let height = 1
  let free: FreeBox = { left: 0, top: 0, width: 1, height: 1 }
  const wanting = new Set<() => void>()
  const drawing = new Set<(moment: EyeMoment) => void>()
  const want = () => {
    for (const ask of wanting) ask()
  }
  const now = (): EyeMoment => ({ eye, basis: basisOf(eye), free, width, height })
  return {
    now,
    set(next) {
      flight = null
      eye = next
      want()
    },
    flyTo(to, still) {
      // From a drawing to what a person sees there is no way between.
      if (still || (to.central ?? false) !== (eye.central ?? false)) {
        this.set(to)
        return
      }
      flight = { from: eye, to, since_ms: null }
      want()
    },
    setRoom(w, h, box) {
      width = w
      height = h
      free = box
      want()
    },
    hold(next) {
      if (held === next) return
      held = next
      want()
    },
    get moving() {
      return flight !== null || held
    },
    step(clock_ms) {
      if (!flight) return false
      flight.since_ms ??= clock_ms
      const t = Math.min((clock_ms - flight.since_ms) / FLIGHT_MS, 1)
      eye = between(flight.from, flight.to, t < 0.5 ? 4 * t ** 3 : 1 - (2 - 2 * t) ** 3 / 2)
      if (t >= 1) {
        eye = flight.to
        flight = null
      }
      return flight !== null
    },
    onWant(ask) {
      wanting.add(ask)
      return () => wanting.delete(ask)
    },
    redraw: want,
    onPicture(draw) {
      drawing.add(draw)
      return () => drawing.delete(draw)
    },
    picture() {
      const moment = now()
      for (const draw of drawing) draw(moment)
    },
  }
}
