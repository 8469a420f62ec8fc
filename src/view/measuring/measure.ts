/** Dimensions between two places: what they hold on to, how long they are, what is said of them. */
import { lengthText, type ShownUnit } from '../../state/format'
import type { Vec3 } from '../camera/eye'
import type { Picked } from '../picking/pick'
import type { Hold } from './snap'

export interface Spot {
  readonly kind: Picked['kind']
  /** Of a fitting. */
  readonly id: string | null
  /** The mesh it was taken on: of another mesh the dimension is only "as it was". */
  readonly meshId: string
  readonly hold: Hold | 'nearest'
  /** Job axes, mm. */
  readonly at: Vec3
}

export interface Measure {
  readonly serial: number
  readonly from: Spot
  readonly to: Spot
}

export const spotOf = (picked: Picked & { readonly hold: Spot['hold'] }): Spot => ({
  kind: picked.kind,
  id: picked.id,
  meshId: picked.meshId,
  hold: picked.hold,
  at: picked.at,
})

/** In double, from the places themselves. */
export const lengthOf_mm = ({ from, to }: Pick<Measure, 'from' | 'to'>): number =>
  Math.hypot(to.at[0] - from.at[0], to.at[1] - from.at[1], to.at[2] - from.at[2])

/** Hundredths of a millimetre are what the scan's own numbers still carry; inches as fractions and in decimals. */
export function measureText(mm: number, unit: ShownUnit): string {
  return unit === 'mm' ? lengthText(mm, 'mm', 2) : `${lengthText(mm, 'in')} (${(mm / 25.4).toFixed(4)})`
}

/** Forward, to port and up from the first end to the second, mm. */
export const partsOf_mm = ({ from, to }: Pick<Measure, 'from' | 'to'>): Vec3 => [
  to.at[0] - from.at[0],
  to.at[1] - from.at[1],
  to.at[2] - from.at[2],
]
