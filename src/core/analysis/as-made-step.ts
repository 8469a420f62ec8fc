/** Every scan of something made: laid on the planned face, measured, and what there is to say. */
import { type Steps, within } from '../geometry/kernel'
import { transformMesh, turnedOver } from '../geometry/mesh'
import { register } from '../geometry/register'
import { type Finding, Refused } from '../geometry/trouble'
import { type AsMade, asMade } from './as-made'
import type { AsMadeRequest, AsMadeResult } from './types'

export function* checkAsMade(request: AsMadeRequest): Steps<AsMadeResult & { findings: readonly Finding[] }> {
  const { name, against, face, start, tolerance_mm } = request
  const scan = request.turned ? turnedOver(request.mesh) : request.mesh
  const id = `analysis.as-made.${against}.${name}`
  try {
    const fit = yield* within(
      0,
      0.5,
      name,
      register(scan, face, { start, names: { moving: name, standing: `the ${against}` } }),
    )
    const made = yield* within(0.5, 1, name, asMade(transformMesh(scan, fit.motion, 'job'), face, { tolerance_mm }))
    return { name, against, fit, made, findings: findingsOf(id, request, made) }
  } catch (error) {
    if (!(error instanceof Refused)) throw error
    // A scan that does not fit is trouble with the scan, not with the plan: the rest is worked out all the same.
    const { message } = error.refusal
    return {
      name,
      against,
      fit: null,
      made: null,
      findings: [
        {
          id,
          step: 'analysis',
          severity: 'warning',
          message,
          advice: 'Or say that it is of the mould, or of the other shell.',
        },
      ],
    }
  }
}

function findingsOf(id: string, { name, against, tolerance_mm }: AsMadeRequest, made: AsMade): Finding[] {
  if (made.profile_mm <= tolerance_mm)
    return [
      {
        id,
        step: 'analysis',
        severity: 'note',
        message: `${name} is the ${against} as planned within a profile zone of ${made.profile_mm.toFixed(2)} mm; ${tolerance_mm} mm is asked.`,
        value: made.profile_mm,
        limit: tolerance_mm,
        unit: 'mm',
      },
    ]
  const high = Math.abs(made.highest_mm) >= Math.abs(made.lowest_mm)
  const where = high ? made.highestAt : made.lowestAt
  const worst = high ? made.highest_mm : made.lowest_mm
  return [
    {
      id,
      step: 'analysis',
      severity: 'warning',
      message: `${name}: ${(100 * (1 - made.within)).toFixed(1)} % of what was measured of the ${against} lies outside the profile zone of ${tolerance_mm} mm; worst ${worst.toFixed(2)} mm${where ? ` at ${where.map((c) => c.toFixed(0)).join(', ')}` : ''}.`,
      advice: `${high ? 'Take off' : 'Build up'} there, or agree on a zone of ${made.profile_mm.toFixed(1)} mm; see the twist before a local fault is blamed.`,
      ...(where ? { where } : {}),
      value: made.profile_mm,
      limit: tolerance_mm,
      unit: 'mm',
    },
  ]
}
