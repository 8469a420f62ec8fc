/** What the analysis has to say: each with the number, the place, the limit, and what would mend it. */
import type { Direction, Point } from '../geometry/axes'
import type { Finding } from '../geometry/trouble'
import type { PartAnalysis, PartRequest, UndercutRegion } from './types'

/** Regions that get a finding of their own; the others share one. */
const MOST_OWN = 12

/** Area below this share of the part is rounding at facets' edges, not a place anybody could mend. */
const NOTHING = 1e-7

/** A face that leans back by more than this is no wall that lacks draft, but another side of the part. Degrees. */
const STEEPEST_TURN = -30

export function partFindings(request: PartRequest, part: PartAnalysis): Finding[] {
  return [...undercutFindings(request, part), ...draftFindings(request, part), ...radiusFindings(request, part)]
}

function undercutFindings(request: PartRequest, { check }: PartAnalysis): Finding[] {
  const { name, minDraft_deg } = request
  const { undercut, mesh } = check
  const least = Math.max(undercut.bound_mm2, NOTHING * mesh.area_mm2)
  if (undercut.area_mm2 <= least) return []
  const own = undercut.regions.filter((r) => r.area_mm2 > least).slice(0, MOST_OWN)
  const findings = own.map((region, i): Finding => {
    const kind =
      region.cause === 'facing-away'
        ? 'faces away from the pull'
        : region.cause === 'blocked'
          ? 'is blocked'
          : 'is locked'
    return {
      id: `analysis.${name}.undercut.${i + 1}`,
      step: 'analysis',
      severity: 'hold',
      message: `${title(name)}: ${area(region.area_mm2)} ${kind} at ${place(region.at)}; it is locked ${mm(region.depth_mm)} deep${travel(region)}.`,
      advice: mend(region, minDraft_deg),
      where: region.at,
      value: region.area_mm2,
      limit: 0,
      unit: 'mm2',
    }
  })
  if (undercut.regionCount > own.length) {
    const rest = undercut.area_mm2 - own.reduce((sum, r) => sum + r.area_mm2, 0)
    findings.push({
      id: `analysis.${name}.undercut.rest`,
      step: 'analysis',
      severity: rest > least ? 'hold' : 'note',
      message: `${title(name)}: ${area(rest)} more is locked, in ${undercut.regionCount - own.length} smaller places.`,
      advice: 'Mend the large places first, then look at the map: small ones often go with them.',
      value: rest,
      limit: 0,
      unit: 'mm2',
    })
  }
  return findings
}

const travel = ({ meetsAfter_mm }: UndercutRegion): string =>
  meetsAfter_mm === null ? '' : ` and meets metal after ${mm(meetsAfter_mm)} along the pull`

function mend(region: UndercutRegion, minDraft_deg: number): string {
  const loose = !region.ownPull
    ? ', or split the mould through it: no single pull frees all of it'
    : region.looseFrees === false
      ? `, or split the mould: a loose piece leaving along ${direction(region.ownPull)} would be stopped by the part itself`
      : ` or make it a loose piece of the mould that leaves along ${direction(region.ownPull)}`
  if (region.cause === 'blocked') return `Move what stands in front of it back by ${mm(region.depth_mm)}${loose}.`
  if (region.min_deg < STEEPEST_TURN)
    return `It is turned far from the pull (${region.min_deg.toFixed(0)} degrees): part the mould along its edge${loose}.`
  return `Turn it by ${(minDraft_deg - region.min_deg).toFixed(1)} degrees towards the pull${loose}.`
}

function draftFindings(request: PartRequest, { check }: PartAnalysis): Finding[] {
  const { name, minDraft_deg } = request
  const { draft, mesh } = check
  const findings: Finding[] = []
  if (draft.low_mm2 > NOTHING * mesh.area_mm2) {
    // What faces away has its own finding; here the least of what can leave, but only just.
    const region = draft.regions.filter((r) => r.kind === 'low').sort((p, q) => p.min_deg - q.min_deg)[0]
    const least = region ? region.min_deg : draft.min_deg
    findings.push({
      id: `analysis.${name}.draft-low`,
      step: 'analysis',
      severity: 'warning',
      message: `${title(name)}: ${area(draft.low_mm2)} has less draft than ${minDraft_deg} degrees; least ${least.toFixed(2)} degrees${region ? ` at ${place(region.at)}` : ''}.`,
      advice: `Add ${(minDraft_deg - least).toFixed(1)} degrees of draft there, split the mould along it, or accept a harder release.`,
      where: region ? region.at : draft.minAt,
      value: least,
      limit: minDraft_deg,
      unit: 'deg',
    })
  }
  const unsure = draft.unsureAtZero_mm2 + draft.unsureAtLimit_mm2
  if (unsure > 0.05 * mesh.area_mm2) {
    findings.push({
      id: `analysis.${name}.draft-coarse`,
      step: 'analysis',
      severity: 'note',
      message: `${title(name)}: the facets are coarse: ${area(unsure)} may belong to the next draft class.`,
      advice: 'Use a finer mesh if the share of area by draft matters.',
      value: unsure,
      unit: 'mm2',
    })
  }
  return findings
}

function radiusFindings(request: PartRequest, { check }: PartAnalysis): Finding[] {
  const { name, minRadius_mm } = request
  const { radius } = check
  const findings: Finding[] = []
  if (radius.sharpInside.edges > 0 && radius.sharpInside.at) {
    findings.push({
      id: `analysis.${name}.sharp-inside`,
      step: 'analysis',
      severity: 'warning',
      message: `${title(name)}: ${mm(radius.sharpInside.length_mm)} of inside edges have no radius, worst ${radius.sharpInside.worst_deg.toFixed(0)} degrees at ${place(radius.sharpInside.at)}.`,
      advice: `Give them a radius of ${mm(minRadius_mm)} or more.`,
      where: radius.sharpInside.at,
      value: 0,
      limit: minRadius_mm,
      unit: 'mm',
    })
  }
  if (radius.p01_mm < minRadius_mm) {
    findings.push({
      id: `analysis.${name}.radius`,
      step: 'analysis',
      severity: 'warning',
      message: `${title(name)}: one hundredth of the area has an inside radius below ${mm(radius.p01_mm)}; least ${mm(radius.min_mm)} (known to ${mm(radius.minDoubt_mm)}) at ${place(radius.minAt)}.`,
      advice: `Open the inside corners to ${mm(minRadius_mm)}, or use a smaller cutter and narrower cloth there.`,
      where: radius.minAt,
      value: radius.p01_mm,
      limit: minRadius_mm,
      unit: 'mm',
    })
  }
  return findings
}

/** Names of our own parts start a sentence; names of files stay as they are. */
const title = (name: string): string =>
  name === '' ? 'Part' : name.includes('.') ? name : name[0]!.toUpperCase() + name.slice(1)
const mm = (value: number): string => `${value < 10 ? value.toFixed(2) : value.toFixed(0)} mm`
const area = (mm2: number): string =>
  mm2 >= 1e5 ? `${(mm2 / 1e6).toFixed(3)} m2` : `${mm2 < 10 ? mm2.toFixed(2) : mm2.toFixed(0)} mm2`
const place = (p: Point): string => p.map((c) => c.toFixed(0)).join(', ')
const direction = (d: Direction): string => d.map((c) => c.toFixed(2)).join(', ')
