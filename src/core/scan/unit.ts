/** Units of a mesh file: stated by the format, said by the user, or guessed from the size and shown to be confirmed. */
import { type LengthUnit, MM_PER, type UnitReading } from './types'

/** What is being read: a frame for a top, or a fitting that sits on one. */
export type SizeOf = 'frame' | 'part'

/** Believable longest sides, mm, and the one in the middle that a guess leans to. (Policy: common practice, no source.) */
const SIZES: Record<SizeOf, { least: number; most: number; usual: number }> = {
  frame: { least: 1000, most: 7000, usual: 2700 },
  part: { least: 15, most: 2500, usual: 250 },
}

/** How often files come in a unit, as a factor that its distance from the usual size is multiplied with; 1 is most often. */
const RARITY: readonly (readonly [LengthUnit, number])[] = [
  ['mm', 1],
  ['m', 1.2],
  ['in', 1.2],
  ['cm', 1.3],
  ['ft', 2.2],
  ['um', 3],
]

/**
 * The unit in which the size is most believable, with the others that would do.
 *
 * A frame 1000 to 7000 mm long reads 100 to 700 in centimetres and 40 to 280 in inches: those two overlap, so the answer is a
 * proposal with alternatives and never silent (`unitFindings`).
 *
 * @param longest longest side of the box in the file's own unit
 */
export function guessUnit(longest: number, of: SizeOf): UnitReading {
  const { least, most, usual } = SIZES[of]
  const ranked = RARITY.map(([unit, rarity]) => {
    const size = longest * MM_PER[unit]
    // Ratio to the usual size, always above 1: no logarithm, which would differ between engines.
    const ratio = size > usual ? size / usual : usual / size
    return { unit, fits: size >= least && size <= most, distance: ratio * rarity }
  }).sort((a, b) => Number(b.fits) - Number(a.fits) || a.distance - b.distance)
  const { unit, fits } = ranked[0]!
  return {
    unit,
    from: 'size',
    // Where no unit gives a believable size, all are open.
    alternatives: ranked.filter((u) => u.unit !== unit && (u.fits || !fits)).map((u) => u.unit),
    longest_mm: longest * MM_PER[unit],
  }
}

/** Whether any unit gives a believable size at all. */
export const isBelievable = (reading: UnitReading, of: SizeOf): boolean =>
  reading.longest_mm >= SIZES[of].least && reading.longest_mm <= SIZES[of].most

/** The unit to use: the user's word before the file's, and that before a guess. */
export function unitOf(
  asked: 'auto' | LengthUnit,
  stated: LengthUnit | null,
  longest: number,
  of: SizeOf,
): UnitReading {
  const unit = asked === 'auto' ? stated : asked
  if (unit === null) return guessUnit(longest, of)
  return { unit, from: asked === 'auto' ? 'file' : 'job', alternatives: [], longest_mm: longest * MM_PER[unit] }
}
