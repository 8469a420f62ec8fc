/** What differs between two values of plain JSON, key by key: for a lifted signature, and for two revisions. */
export interface Difference {
  /** Where, in the words of `job.json`: `clearance.gap_mm`, `fittings.lamp.at_mm`. */
  readonly path: string
  /** As JSON; undefined: not there. */
  readonly before: unknown
  readonly after: unknown
}

/** A list longer than this is one value: nobody reads a matrix number by number. */
const SHORT = 4

/** Lists of things with an `id` are compared by id, others place by place. */
export function difference(before: unknown, after: unknown, path = ''): Difference[] {
  if (same(before, after)) return []
  const [a, b] = [members(before), members(after)]
  if (!a || !b) return [{ path, before, after }]
  const keys = [...new Set([...Object.keys(a), ...Object.keys(b)])]
  return keys.flatMap((key) => difference(a[key], b[key], path === '' ? key : `${path}.${key}`))
}

type Members = Readonly<Record<string, unknown>>

function members(value: unknown): Members | null {
  if (typeof value !== 'object' || value === null) return null
  if (!Array.isArray(value)) return value as Members
  const ids = value.map((v: unknown) => (typeof v === 'object' && v !== null ? (v as Members)['id'] : undefined))
  if (ids.every((id) => typeof id === 'string') && new Set(ids).size === ids.length)
    return Object.fromEntries(value.map((v, i) => [ids[i], v]))
  // Numbers stay together: a place, a direction, a matrix.
  if (value.every((v) => typeof v === 'number') || value.length > SHORT) return null
  return Object.fromEntries(value.map((v, i) => [String(i + 1), v]))
}

const same = (a: unknown, b: unknown): boolean => a === b || JSON.stringify(a) === JSON.stringify(b)

/** @example differenceText({ path: 'clearance.gap_mm', before: 14, after: 12 }) // 'clearance gap 14 mm → 12 mm' */
export function differenceText({ path, before, after }: Difference): string {
  const [, unit] = /_(mm|deg|kg|min|s|h|C|Pa|mbar|mm_min|m)$/.exec(path) ?? []
  const name = (unit ? path.slice(0, -unit.length - 1) : path).replaceAll('.', ' ')
  const shown = (v: unknown): string => {
    if (v === undefined) return 'not there'
    if (v === null) return 'none'
    const text = typeof v === 'string' ? v : (JSON.stringify(v) ?? '')
    const short = text.length > 60 ? `${text.slice(0, 57)}…` : text
    return typeof v === 'number' && unit ? `${short} ${unit === 'deg' ? '°' : unit}` : short
  }
  if (before === undefined) return `${name} added`
  if (after === undefined) return `${name} removed`
  return `${name} ${shown(before)} → ${shown(after)}`
}
