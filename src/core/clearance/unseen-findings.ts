import { facetMiddle, type Mesh } from '../geometry/mesh'
import type { Finding } from '../geometry/trouble'
import { type Certificate, VERDICTS } from './types'

/**
 * Where the nearest metal is the rim of a hole: nobody knows whether it ends there.
 *
 * @param face the surface that the certificate is of
 * @param called what the user calls it
 */
export function unseenFindings(certificate: Certificate, face: Mesh<'job'>, called: string): Finding[] {
  if (!(certificate.unseen_mm2 > 0)) return []
  const index = VERDICTS.indexOf('unseen')
  let nearest = -1
  let least = Infinity
  certificate.verdictOfFacet.forEach((v, f) => {
    const gap = certificate.gap.values[f]!
    if (v === index && (nearest < 0 || gap < least)) {
      nearest = f
      least = gap
    }
  })
  const where =
    certificate.verdict === 'unseen' ? certificate.at.shell : nearest < 0 ? null : facetMiddle(face, nearest)
  return [
    {
      id: 'clearance.unseen',
      step: 'clearance',
      severity: 'warning',
      message: `Over ${Math.ceil(certificate.unseen_mm2 / 100)} cm² of ${called} the nearest metal lies at the rim of a hole in the scan, where it may go on unseen.`,
      advice: 'Scan the spot again, or measure there by hand before the mould is ordered.',
      ...(where ? { where } : {}),
      value: certificate.unseen_mm2,
      limit: 0,
      unit: 'mm2',
    },
  ]
}
