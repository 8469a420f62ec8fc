import { bounds, type Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import type { BossOffer } from './boss-offer'
import { dressFindings } from './dress-findings'
import type { EdgeRows } from './edge'
import type { BossMade, Certificate, ClearanceRequest } from './types'
import type { UndersideForm } from './underside'
import { unseenFindings } from './unseen-findings'
import { waterFindings } from './water-findings'
import type { DrainingCamber, TrimWater } from './water-trims'

export interface FindingsInput {
  readonly request: ClearanceRequest
  readonly form: UndersideForm
  readonly edge: EdgeRows
  readonly certificate: Certificate
  readonly lifts: number
  readonly leastConcaveRadius_mm: number
  readonly water: readonly TrimWater[]
  readonly drain: DrainingCamber | null
  readonly bosses: readonly BossMade[]
  readonly offer: BossOffer | null
  readonly face: Mesh<'job'>
}

/** Excess lift at the places the sheet rests on, beyond which the shell is bulkier than it need be, mm (95th percentile). */
const EXCESS_MM = 0.5

/** What the designer has to know about the shell, in sentences. */
export function clearanceFindings(input: FindingsInput): Finding[] {
  return [
    ...verdict(input),
    ...unseenFindings(input.certificate, input.face, 'the inner surface'),
    ...excess(input),
    ...radii(input),
    ...moved(input),
    ...foot(input),
    ...dressFindings(input.request.settings.bosses, input.bosses, input.offer),
    ...waterFindings(input.water, input.drain),
  ]
}

function verdict({ certificate, lifts }: FindingsInput): Finding[] {
  const { verdict, margin_mm, required_mm, guard_mm, at } = certificate
  if (verdict === 'fails')
    return [
      {
        id: 'clearance.fails',
        step: 'clearance',
        severity: 'hold',
        message: `The inner surface comes ${fixed(-margin_mm)} mm closer to the frame than the ${fixed(required_mm)} mm asked for, after ${lifts} lifts.`,
        advice: 'Lessen the gap there, raise overhang_mm, or take the metal that stands proud away.',
        where: at.shell,
        value: margin_mm,
        limit: 0,
        unit: 'mm',
      },
    ]
  if (verdict === 'not-proven')
    return [
      {
        id: 'clearance.not-proven',
        step: 'clearance',
        severity: 'hold',
        message: `The gap of ${fixed(required_mm)} mm is kept by ${fixed(margin_mm)} mm, less than the scan's uncertainty of ${fixed(guard_mm)} mm, so it is not proven, after ${lifts} lifts.`,
        advice: 'Scan the spot again with less noise, or ask for a smaller gap there.',
        where: at.shell,
        value: margin_mm,
        limit: guard_mm,
        unit: 'mm',
      },
    ]
  return []
}

function excess({ certificate }: FindingsInput): Finding[] {
  const { p95_mm } = certificate.excessLift
  if (p95_mm <= EXCESS_MM) return []
  return [
    {
      id: 'clearance.excess-lift',
      step: 'clearance',
      severity: 'note',
      message: `Where the surface rests on the grown frame it stands up to ${fixed(p95_mm)} mm higher than it need (95th percentile).`,
      advice: 'A finer sample_mm brings it down.',
      value: p95_mm,
      limit: EXCESS_MM,
      unit: 'mm',
    },
  ]
}

function radii({ request, form, leastConcaveRadius_mm }: FindingsInput): Finding[] {
  const { minRadius_mm, edgeRadius_mm } = request.settings
  const out: Finding[] = []
  if (leastConcaveRadius_mm < minRadius_mm)
    out.push({
      id: 'clearance.crown-radius',
      step: 'clearance',
      severity: 'warning',
      message: `The crown is hollowed with a radius of ${fixed(leastConcaveRadius_mm)} mm, less than the ${fixed(minRadius_mm)} mm asked for.`,
      advice: 'Raise fairRadius_mm.',
      value: leastConcaveRadius_mm,
      limit: minRadius_mm,
      unit: 'mm',
    })
  let least = 0
  form.radius_mm.forEach((r, k) => {
    if (r < form.radius_mm[least]!) least = k
  })
  const radius = form.radius_mm[least]!
  if (radius < edgeRadius_mm - 1e-9)
    out.push({
      id: 'clearance.edge-radius',
      step: 'clearance',
      severity: radius < minRadius_mm ? 'warning' : 'note',
      message: `The edge radius falls to ${fixed(radius)} mm at a sharp corner of the outline, where ${fixed(edgeRadius_mm)} mm would make the rows of the fillet cross.`,
      advice:
        radius < minRadius_mm
          ? 'That is below the least radius: raise overhang_mm, or take away what stands out there.'
          : 'Raise overhang_mm if the full radius is wanted there.',
      where: [form.curve.x[least]!, form.curve.y[least]!, form.reference_mm],
      value: radius,
      limit: radius < minRadius_mm ? minRadius_mm : edgeRadius_mm,
      unit: 'mm',
    })
  return out
}

function moved({ form, request }: FindingsInput): Finding[] {
  if (form.pushed_mm <= 1) return []
  const drawn = request.settings.outline.from === 'polygon'
  return [
    {
      id: 'clearance.pushed',
      step: 'clearance',
      severity: 'note',
      message: `The outline stands ${fixed(form.pushed_mm)} mm further out than ${drawn ? 'it was drawn' : 'the silhouette asks'}, so that the edge radius of ${fixed(request.settings.edgeRadius_mm)} mm clears the tube beside it.`,
      advice: 'Lessen edgeRadius_mm for a smaller shell.',
      value: form.pushed_mm,
      unit: 'mm',
    },
  ]
}

function foot({ request, edge }: FindingsInput): Finding[] {
  const lowestMetal = bounds(request.frame).min[2]
  const row = edge.rows[edge.rows.length - 1]!
  let lowest = 0
  for (let k = 3; k < row.length; k += 3) if (row[k + 2]! < row[lowest + 2]!) lowest = k
  const z = row[lowest + 2]!
  if (z >= lowestMetal) return []
  return [
    {
      id: 'clearance.below-feet',
      step: 'clearance',
      severity: 'warning',
      message: `The flange reaches ${fixed(lowestMetal - z)} mm below the lowest metal of the scan, so it would meet what the frame stands on.`,
      advice: 'Lessen skirt_mm, or check that the scan holds the whole of the legs.',
      where: [row[lowest]!, row[lowest + 1]!, z],
      value: z,
      limit: lowestMetal,
      unit: 'mm',
    },
  ]
}

/** Two digits are enough for a sentence; the exact figure stands in `value`. */
const fixed = (v: number): string => (Math.abs(v) >= 100 ? v.toFixed(0) : v.toFixed(2))
