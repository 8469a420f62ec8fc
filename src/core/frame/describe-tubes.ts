import { symmetricEigen } from '../geometry/symmetric-eigen'
import { dot, plus, unit, type Vec } from '../geometry/vectors'
import { distance } from './join-tubes'
import { type EndedTube, polynomial, STRAIGHT_RATIO } from './tube-ends'
import type { Tube } from './types'

/** Tubes as the other steps read them, in the order found (longest first); scan axes with the origin added. */
export function describeTubes(
  standing: readonly { readonly tube: EndedTube; readonly seats: readonly number[] }[],
  origin: Vec,
): Tube[] {
  const ended = standing.map((s) => s.tube)
  const id = (i: number) => `tube-${i + 1}`
  const partners = ended.map((t) => new Set(t.joins.filter((j) => j >= 0)))
  for (const [i, t] of ended.entries()) for (const j of t.joins) if (j >= 0) partners[j]!.add(i)
  return ended.map((t, i): Tube => {
    const axis = new Float64Array(3 * t.axis.length)
    for (const [k, p] of t.axis.entries()) for (let c = 0; c < 3; c++) axis[3 * k + c] = p[c]! + origin[c]!
    const { bow_mm, straight } = shapeOf(t)
    const place = (k: number) => plus(t.axis[k]!, origin)
    return {
      id: id(i),
      diameter_mm: 2 * t.piece.radius_mm,
      length_mm: lengthAlong(t),
      rms_mm: t.rms_mm,
      bow_mm,
      closed: t.piece.closed,
      straight,
      axis,
      clean: t.clean,
      from: place(0),
      to: place(t.piece.closed ? 0 : t.axis.length - 1),
      coverage: t.coverage,
      seats: standing[i]!.seats.map((p) => `plate-${p + 1}`),
      joins: [...partners[i]!].sort((a, b) => a - b).map(id),
    }
  })
}

function lengthAlong({ axis, piece }: EndedTube): number {
  let length = 0
  for (let i = 0; i + (piece.closed ? 0 : 1) < axis.length; i++)
    length += distance(axis[i]!, axis[(i + 1) % axis.length]!)
  return length
}

/** Bow: largest distance from the chord, for a closed tube from its mean plane. Straight: a parabola fits no better than a line. */
function shapeOf({ axis, clean, piece }: EndedTube): { bow_mm: number; straight: boolean } {
  if (piece.closed) {
    const { at, normal } = meanPlane(axis)
    return { bow_mm: Math.max(...axis.map((p) => Math.abs(dot(plus(p, at, -1), normal)))), straight: false }
  }
  const from = axis[0]!
  const chord = plus(axis[axis.length - 1]!, from, -1)
  const l = Math.sqrt(dot(chord, chord))
  if (!(l > 0)) return { bow_mm: 0, straight: false }
  const u = unit(chord)
  let bow = 0
  for (const p of axis) {
    const d = plus(p, from, -1)
    const off = plus(d, u, -dot(d, u))
    bow = Math.max(bow, Math.sqrt(dot(off, off)))
  }
  const sure = axis.filter((_, i) => clean[i])
  const used = sure.length > 6 ? sure : axis
  const s = used.map((p) => dot(plus(p, from, -1), u))
  const line = polynomial(used, s, 1).rms
  const bent = polynomial(used, s, 2).rms
  return { bow_mm: bow, straight: used.length < 4 || line < STRAIGHT_RATIO * bent || line < 0.02 }
}

/** Least-squares plane of places. */
export function meanPlane(places: readonly Vec[]): { readonly at: Vec; readonly normal: Vec } {
  let at: Vec = [0, 0, 0]
  for (const p of places) at = plus(at, p, 1 / places.length)
  const m = new Float64Array(9)
  for (const p of places) {
    const d = plus(p, at, -1)
    for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) m[3 * r + c]! += d[r]! * d[c]!
  }
  const { vectors } = symmetricEigen(m, 3)
  return { at, normal: [vectors[0]!, vectors[1]!, vectors[2]!] }
}
