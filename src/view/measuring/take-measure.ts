/** One click of measuring: the first end, the second, or a point and the nearest of a part. */
import type { Picked, PickRegister } from '../picking/pick'
import type { SheetStore } from '../sheet-store'
import { type Measure, type Spot, spotOf } from './measure'

/** @returns false where the part that is measured to does not answer */
export function takeEnd(sheet: SheetStore, picks: PickRegister, spot: Spot): boolean {
  const { measureTo, pending } = sheet.getState()
  if (measureTo !== 'point') {
    const nearest = picks.nearestOn(measureTo, spot.at)
    if (!nearest) return false
    add(sheet, { from: spot, to: spotOf({ ...nearest, hold: 'nearest' }) })
    return true
  }
  if (!pending) {
    sheet.setState({ pending: spot })
    return true
  }
  // The same place twice is a hand that clicked twice.
  if (same(pending.at, spot.at)) return true
  add(sheet, { from: pending, to: spot })
  sheet.setState({ pending: null })
  return true
}

export function closeMeasure(sheet: SheetStore, serial: number): void {
  sheet.setState((s) => ({ measures: s.measures.filter((m) => m.serial !== serial) }))
}

/** Takes back the end that waits, else the last dimension. False: nothing was there. */
export function takeBack(sheet: SheetStore): boolean {
  const { pending, measures } = sheet.getState()
  if (pending) sheet.setState({ pending: null })
  else if (measures.length > 0) sheet.setState({ measures: measures.slice(0, -1) })
  else return false
  return true
}

function add(sheet: SheetStore, { from, to }: Pick<Measure, 'from' | 'to'>): void {
  sheet.setState((s) => ({ measures: [...s.measures, { serial: (s.measures.at(-1)?.serial ?? 0) + 1, from, to }] }))
}

const same = (a: Picked['at'], b: Picked['at']): boolean => a[0] === b[0] && a[1] === b[1] && a[2] === b[2]
