/**
 * What a facet is on the map, beside its value: plain, failing (hatched), not proven (dotted), unseen (empty). Where the
 * limit is the job's own, the verdicts of the certificate stand as they are; a limit dragged on the legend re-classes.
 */
export const PLAIN = 0
export const FAILS = 1
export const NOT_PROVEN = 2
export const UNSEEN = 3

export interface GapClassing {
  readonly gap_mm: Float32Array
  /** Index into `VERDICTS`: proven, not-proven, fails, unseen. */
  readonly verdict: Uint8Array
  readonly guard_mm: number
  /** Null: the job's own. */
  readonly limit_mm: number | null
}

const CLASS_OF_VERDICT = [PLAIN, NOT_PROVEN, FAILS, UNSEEN]

export function gapClasses({ gap_mm, verdict, guard_mm, limit_mm }: GapClassing): Uint8Array {
  const classes = new Uint8Array(gap_mm.length)
  for (let f = 0; f < classes.length; f++) {
    const own = CLASS_OF_VERDICT[verdict[f]!] ?? PLAIN
    if (limit_mm === null) classes[f] = own
    else if (gap_mm[f]! < limit_mm) classes[f] = FAILS
    else if (own === UNSEEN) classes[f] = UNSEEN
    else if (gap_mm[f]! < limit_mm + guard_mm) classes[f] = NOT_PROVEN
  }
  return classes
}

/** Below `limit` fails; no answer is never a failure. */
export function classesBelow(values: Float32Array, limit: number): Uint8Array {
  const classes = new Uint8Array(values.length)
  for (let f = 0; f < values.length; f++) if (values[f]! < limit) classes[f] = FAILS
  return classes
}

/** Area of each class, mm2. */
export function areaByClass(classes: Uint8Array, area_mm2: Float32Array): readonly [number, number, number, number] {
  const sums: [number, number, number, number] = [0, 0, 0, 0]
  for (let f = 0; f < classes.length; f++) sums[classes[f]! as 0 | 1 | 2 | 3] += area_mm2[f]!
  return sums
}
