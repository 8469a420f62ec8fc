/** What lies under a place of the sheet, for the pointer and for the cross that the arrow keys move. */
import { bounds } from '../../core/geometry/mesh'
import { answerHelm, answerPlace } from '../../state/asked-place'
import { addPlace } from '../../state/placing'
import { chooseTube, lightTubes } from '../../state/session-moves'
import type { Stores } from '../../state/stores'
import { sightAt, type Vec3 } from '../camera/eye'
import type { EyeRig } from '../camera/eye-rig'
import { spotOf } from '../measuring/measure'
import { measureWords } from '../measuring/measure-words'
import { takeEnd } from '../measuring/take-measure'
import { type Cut, isKept } from '../section/cut-side'
import type { SheetStore } from '../sheet-store'
import { helmWords } from '../words'
import type { Picked, PickKind, PickRegister } from './pick'
import { tubeUnder } from './pick-tube'

export interface Pointing {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly picks: PickRegister
  readonly cut: Cut | null
}

/** Shells that are cut away or looked through do not answer; places for datum, registration and crops are on scans. */
const answers = ({ stores, cut }: Pointing) => {
  const { through, asked } = stores.session.getState()
  if (asked?.for === 'datum' || asked?.for === 'lay' || asked?.for === 'crop')
    return (kind: PickKind) => kind === 'frame'
  return (kind: PickKind, at: Picked['at']) => kind === 'frame' || kind === 'fitting' || (!through && isKept(cut, at))
}

export const under = (p: Pointing, x: number, y: number): Picked | null => p.picks.pick(p.rig.now(), x, y, answers(p))

/** Shows what is known of the place; while measuring, what a dimension would hold on to. */
export function pointAt(p: Pointing, place: { x: number; y: number } | null): Picked | null {
  const { stores, sheet, picks, rig } = p
  if (!place) {
    if (sheet.getState().hover) sheet.setState({ hover: null })
    if (stores.session.getState().slip === 'frame') lightTubes(stores.session, [])
    return null
  }
  if (stores.session.getState().measuring) {
    const held = picks.hold(rig.now(), place.x, place.y, answers(p))
    sheet.setState({ hover: held ? { ...held, ...place, spot: spotOf(held) } : null })
    return held
  }
  const hit = under(p, place.x, place.y)
  if (stores.session.getState().slip === 'frame') {
    const tube = tubeUnder(stores, hit)
    lightTubes(stores.session, tube === null ? [] : [tube])
  }
  sheet.setState({ hover: hit ? { ...hit, ...place, spot: null } : null })
  return hit
}

/**
 * One click of the drawing, by the pointer or by Enter on the cross: it places, measures, answers what was asked, or
 * chooses a fitting or a tube.
 *
 * @returns false where a click means nothing just now
 */
export function clickAt(p: Pointing, place: { x: number; y: number }): boolean {
  const { stores, picks, rig } = p
  const { placing, measuring, asked, question } = stores.session.getState()
  if (placing) {
    const on = picks.pick(rig.now(), place.x, place.y, (kind) => kind === placing.shell)
    if (on) addPlace(stores, on.at)
  } else if (measuring) measureAt(p, place)
  else if (asked) answerAt(p, place.x, place.y)
  else if (question === 'live') {
    const hit = under(p, place.x, place.y)
    stores.session.setState({ fitting: hit?.kind === 'fitting' ? hit.id : null })
  } else {
    const tube = tubeUnder(stores, under(p, place.x, place.y))
    if (tube === null) return false
    chooseTube(stores.session, tube)
  }
  return true
}

/** Takes an end of a dimension there. */
function measureAt(p: Pointing, place: { x: number; y: number }): void {
  pointAt(p, place)
  const spot = p.sheet.getState().hover?.spot
  if (spot && !takeEnd(p.sheet, p.picks, spot))
    p.stores.session.setState({ notice: { kind: 'said', text: measureWords.noTree } })
}

/** Flatter than this the deck is seen edge on: sine of the angle between sight and deck. */
const EDGE_ON = 0.05

/** The place of the deck that is seen there, through whatever stands over it; null where the deck is seen edge on or not at all. */
function deckUnder({ rig, stores }: Pointing, x: number, y: number): Vec3 | null {
  const { eye, basis, free } = rig.now()
  const { from, along } = sightAt(eye, basis, free, x, y)
  const { people } = stores.jobs.getState().history.job
  const frame = stores.results.getState().steps.datum.result?.mesh
  const deck = people.deck_mm ?? (frame ? bounds(frame).min[2] : 0)
  if (Math.abs(along[2]) < EDGE_ON) return null
  const away = (deck - from[2]) / along[2]
  return away > 0 ? [from[0] + away * along[0], from[1] + away * along[1], deck] : null
}

/** Takes the place that the page asks for. */
function answerAt(p: Pointing, x: number, y: number): void {
  const { stores } = p
  if (stores.session.getState().asked?.for === 'helm') {
    const deck = deckUnder(p, x, y)
    if (deck) answerHelm(stores, deck)
    else stores.session.setState({ notice: { kind: 'said', text: helmWords.noDeck } })
    return
  }
  const there = under(p, x, y)
  if (there) answerPlace(stores, { ...there, id: there.kind === 'fitting' ? there.id : null })
}
