/** The few words that stand beside a finding's ring: its number where it has one, else what it is. */
import type { Finding } from '../../core/geometry/trouble'
import { angleText, areaFigure, lengthText, numberText, type ShownUnit } from '../../state/format'
import { sheetWords } from '../words'

export function labelWords(finding: Finding, unit: ShownUnit): string {
  const cause = causeWord(finding.id)
  const value = valueText(finding, unit)
  if (value === null) return cause ?? sheetWords.severity[finding.severity]
  return cause === null ? value : `${cause} ${value}`
}

function causeWord(id: string): string | null {
  const causes: Readonly<Record<string, string>> = sheetWords.causes
  const found = id.split('.').find((part) => causes[part] !== undefined)
  return found === undefined ? null : causes[found]!
}

function valueText({ value, unit: of, limit }: Finding, unit: ShownUnit): string | null {
  if (value === undefined || !Number.isFinite(value)) return null
  // A number that falls short of its limit is never rounded up to it.
  const round = limit === undefined ? 'near' : value < limit ? 'down' : 'near'
  if (of === 'mm') return lengthText(value, unit, unit === 'mm' ? 1 : undefined, round)
  if (of === 'mm2') {
    const area = areaFigure(value, unit, { round: 'up' })
    return `${area.value} ${area.unit}`
  }
  if (of === 'deg' || of === '°') return angleText(value, 1, round)
  if (of === undefined || of === '') return numberText(value, Number.isInteger(value) ? 0 : 1)
  return `${numberText(value, Number.isInteger(value) ? 0 : 1)} ${of}`
}
