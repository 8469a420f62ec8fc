import type { Finding } from '../geometry/trouble'
import type { ImportedShell } from './imported-shell'
import type { BetweenShells, Certificate, ClearanceSettings, ImportedShells } from './types'
import { unseenFindings } from './unseen-findings'

/** The verdict on shells that were taken as they are: the same holds as for drawn ones, with other advice. */
export function importedFindings(
  wanted: ImportedShells,
  under: ImportedShell | null,
  top: ImportedShell | null,
  certificate: Certificate,
): Finding[] {
  return [
    ...(under ? verdict(wanted.underside!.name, certificate) : []),
    ...(under ? unseenFindings(certificate, under.shell.face, 'the imported surface') : []),
    ...taken('underside', wanted.underside?.name, under),
    ...taken('topside', wanted.topside?.name, top),
  ]
}

function verdict(name: string, { verdict, margin_mm, required_mm, guard_mm, marginAt }: Certificate): Finding[] {
  if (verdict === 'fails')
    return [
      {
        id: 'clearance.fails',
        step: 'clearance',
        severity: 'hold',
        message: `${name} comes ${fixed(-margin_mm)} mm closer to the frame than the ${fixed(required_mm)} mm asked for.`,
        advice:
          'Move or raise the surface there, ask for a smaller gap there, or take the metal that stands proud away.',
        where: marginAt.shell,
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
        message: `${name} keeps the gap of ${fixed(required_mm)} mm by ${fixed(margin_mm)} mm, less than the scan’s uncertainty of ${fixed(guard_mm)} mm, so it is not proven.`,
        advice: `Raise the surface there by ${fixed(guard_mm - margin_mm)} mm, or scan the spot again with less noise.`,
        where: marginAt.shell,
        value: margin_mm,
        limit: guard_mm,
        unit: 'mm',
      },
    ]
  return []
}

function taken(role: 'underside' | 'topside', name: string | undefined, shell: ImportedShell | null): Finding[] {
  if (!shell || !name) return []
  return [
    {
      id: `clearance.imported.${role}`,
      step: 'clearance',
      severity: 'note',
      message: shell.fromSolid
        ? `${name} is taken as the ${role}: a solid, of which ${(100 * shell.faceShare).toFixed(0)} % of the area is its moulded face.`
        : `${name} is taken as the ${role}'s moulded face, with ${fixed(shell.shell.thickness_mm)} mm of laminate ${role === 'underside' ? 'above' : 'below'} it.`,
      advice: 'It is checked, not changed: settings of the drawn shell do not move it.',
    },
  ]
}

/** Less is what raw faces of facets give and take; no paste is laid to it. */
const BOND_SLACK_MM = 0.05

/** Two laminates that meet cannot be bonded; how much they must stand apart is the designer's to say. */
export function betweenFindings(between: BetweenShells, { bond_mm }: ClearanceSettings): Finding[] {
  if (between.min_mm >= bond_mm - BOND_SLACK_MM || !between.at) return []
  const pierced = between.min_mm <= 0
  return [
    {
      id: 'clearance.between-shells',
      step: 'clearance',
      severity: pierced ? 'hold' : 'warning',
      message: pierced
        ? `The two shells run through each other at ${between.at.topside.map((c) => c.toFixed(0)).join(', ')}.`
        : `The two shells come within ${fixed(between.min_mm)} mm of each other, where the bond line is ${fixed(bond_mm)} mm.`,
      advice:
        'Import both shells of one drawing, or set joint, laminates and bond line as the imported one was drawn for.',
      where: between.at.topside,
      value: between.min_mm,
      limit: bond_mm,
      unit: 'mm',
    },
  ]
}

const fixed = (v: number): string => (Math.abs(v) >= 100 ? v.toFixed(0) : v.toFixed(2))
