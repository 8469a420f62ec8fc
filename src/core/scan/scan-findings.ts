/** What the step `scan` has to say: one sentence each, with what to do and where. */
import type { Point } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import type { Examined } from './health'
import { causes } from './load-mesh'
import { type RawMesh, words } from './raw-mesh'
import { type FileFit, type LengthUnit, type MeshFile, MM_PER, type UnitReading } from './types'
import { isBelievable } from './unit'

/** How many holes get a finding of their own. */
const HOLES_NAMED = 5
/** A rim shorter than this many mean edges is a missing facet or two, not a hole worth a flight. */
const SMALL_RIM_EDGES = 8

const UNIT_WORDS: Record<LengthUnit, string> = {
  um: 'micrometres',
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
  ft: 'feet',
}

const finding = (rest: Omit<Finding, 'step'>): Finding => ({ step: 'scan', ...rest })

/**
 * A guess is never silent: it stands as a warning, with the size in every unit that would also do, until the job names one.
 *
 * @param stated units that the files state themselves
 */
export function unitFindings(
  unit: UnitReading,
  asked: 'auto' | LengthUnit,
  stated: readonly (LengthUnit | null)[],
): Finding[] {
  const out: Finding[] = []
  const size = (u: LengthUnit) =>
    `${words(Math.round((unit.longest_mm / MM_PER[unit.unit]) * MM_PER[u]))} mm long in ${UNIT_WORDS[u]}`
  if (unit.from === 'size') {
    const others = unit.alternatives.map(size)
    out.push(
      finding({
        id: 'scan.unit-guessed',
        severity: 'warning',
        message: isBelievable(unit, 'frame')
          ? `The file states no unit: by its size it was taken as ${UNIT_WORDS[unit.unit]}, ${size(unit.unit).replace(/ long.*/, ' long')}${others.length > 0 ? `; it could also be ${others.join(', or ')}` : ''}.`
          : `The file states no unit and in none is its size believable for a frame; it was taken as ${UNIT_WORDS[unit.unit]}, ${size(unit.unit).replace(/ long.*/, ' long')}.`,
        advice: 'Measure one length on the frame and set the unit of the scan.',
        value: unit.longest_mm,
        unit: 'mm',
      }),
    )
  }
  const other = stated.find((u) => u !== null && asked !== 'auto' && u !== asked)
  if (other)
    out.push(
      finding({
        id: 'scan.unit-overruled',
        severity: 'warning',
        message: `The file states ${UNIT_WORDS[other]}, the job says ${UNIT_WORDS[unit.unit]}; the job was followed, which makes the scan ${words(Math.round(unit.longest_mm))} mm long.`,
        advice: 'Set the unit of the scan to "auto" to follow the file.',
      }),
    )
  return out
}

export function fileFindings(
  files: readonly MeshFile[],
  raws: readonly Pick<RawMesh, 'notes'>[],
  fits: readonly FileFit[],
): Finding[] {
  const out: Finding[] = []
  const asTheyStand = files.filter((_, i) => i === 0 || !fits.some((fit) => fit.file === i + 1))
  if (asTheyStand.length > 1)
    out.push(
      finding({
        id: 'scan.several-files',
        severity: 'warning',
        message: `${asTheyStand.length} files were joined as they stand (${asTheyStand.map((f) => f.name).join(', ')}): they are taken to share their axes.`,
        advice: 'Check in the view that they fit; if not, have them laid on the first file (scan.register in the job).',
      }),
    )
  raws
    .flatMap((raw) => raw.notes)
    .forEach((note, i) => {
      out.push(
        finding({
          id: `scan.file.${i + 1}`,
          severity: 'warning',
          message: note,
          advice: 'Check that nothing is missing.',
        }),
      )
    })
  return out
}

/** A residual beyond this many times the noise is more than two scans of the same metal show (measured 1.0 to 1.1). */
const GOOD_FIT = 2

/** What every file that was laid on the first leaves between the two surfaces. */
export function fitFindings(fits: readonly FileFit[], noise_mm: number, middle: Point): Finding[] {
  return fits.map((fit) => {
    const bad = !fit.settled || fit.rms_mm > GOOD_FIT * noise_mm
    return finding({
      id: `scan.fit.${fit.file}`,
      severity: bad ? 'warning' : 'note',
      message: `${fit.name} was laid on the first file: ${fit.rms_mm.toFixed(2)} mm rms and ${fit.p95_mm.toFixed(2)} mm at 95 % between them over ${Math.round(100 * fit.overlap)} % of its surface${fit.settled ? '' : ', and the fit had not come to rest'}; the noise is ${noise_mm.toFixed(2)} mm.`,
      advice: bad
        ? 'Look at the overlap in the view; pick pairs of places, or scan again if the frame moved in between.'
        : 'Rims of one file inside the other still count as unseen beyond.',
      where: middle,
      value: fit.rms_mm,
      limit: GOOD_FIT * noise_mm,
      unit: 'mm',
    })
  })
}

/**
 * @param pieces how many connected pieces are left
 * @param middle of the whole, for what has no place of its own
 */
export function healthFindings({ health, places }: Examined, pieces: number, middle: Point): Finding[] {
  const out: Finding[] = []
  const { rejected } = health
  if (rejected.total > 0)
    out.push(
      finding({
        id: 'scan.rejected',
        severity:
          rejected.notFinite + rejected.badIndex > 0 || rejected.total * 1000 > health.facets ? 'warning' : 'note',
        message: `${words(rejected.total)} facets of the file could not be used: ${causes(rejected)}.`,
        advice: 'If they tore holes into the metal, export the scan again.',
        where: middle,
        value: rejected.total,
      }),
    )
  if (pieces > 1)
    out.push(
      finding({
        id: 'scan.pieces',
        severity: 'note',
        message: `The scan is in ${words(pieces)} pieces that do not touch.`,
        advice: 'If some are no metal, drop the small ones or crop them away.',
        where: middle,
        value: pieces,
      }),
    )
  if (health.nonManifoldEdges > 0)
    out.push(
      finding({
        id: 'scan.non-manifold',
        severity: 'warning',
        message: `At ${words(health.nonManifoldEdges)} edges three or more facets meet, where inside and outside cannot be told.`,
        advice: 'Distances stay right; for a volume, mend the spot in the scanner’s program.',
        ...(places.crossing[0] ? { where: places.crossing[0] } : {}),
        value: health.nonManifoldEdges,
      }),
    )
  if (health.inconsistentEdges > 0)
    out.push(
      finding({
        id: 'scan.inconsistent',
        severity: 'warning',
        message: `At ${words(health.inconsistentEdges)} edges the two facets face opposite ways.`,
        advice: 'Use the repair "turn facets".',
        ...(places.turned[0] ? { where: places.turned[0] } : {}),
        value: health.inconsistentEdges,
      }),
    )
  if (health.closed && health.volume_mm3 < 0)
    out.push(
      finding({
        id: 'scan.inside-out',
        severity: 'warning',
        message: 'The closed surface is inside out: all its facets face inwards.',
        advice: 'Use the repair "turn facets".',
        where: middle,
        value: health.volume_mm3,
        unit: 'mm3',
      }),
    )
  const named = health.holes.slice(0, HOLES_NAMED).filter((h) => h.rim_mm > SMALL_RIM_EDGES * health.meanEdge_mm)
  for (const [i, hole] of named.entries())
    out.push(
      finding({
        id: `scan.hole.${i + 1}`,
        severity: 'note',
        message: `A hole with a rim of ${words(Math.round(hole.rim_mm))} mm${hole.loops > 1 ? ` in ${hole.loops} parts` : ''}: metal may go on beyond it unseen.`,
        advice: 'Scan the spot again, or accept that clearance stays unproven there.',
        where: hole.at,
        value: hole.rim_mm,
        unit: 'mm',
      }),
    )
  const longest = health.holes[0]
  out.push(
    longest
      ? finding({
          id: 'scan.open',
          severity: 'note',
          message: `The scan is open: ${words(health.holeCount)} ${health.holeCount === 1 ? 'hole' : 'holes'} with ${words(health.boundaryLoops)} ${health.boundaryLoops === 1 ? 'rim' : 'rims'}, the longest ${words(Math.round(longest.rim_mm))} mm.`,
          where: longest.at,
          value: health.holeCount,
        })
      : finding({
          id: 'scan.closed',
          severity: 'note',
          message: health.closed
            ? 'The scan is closed: no rim, no tangle, one outside.'
            : 'The scan has no rim, but is not a clean closed surface.',
          where: middle,
        }),
  )
  return out
}
