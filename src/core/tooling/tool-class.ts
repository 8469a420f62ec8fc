/**
 * Which kind of tool: the mould machined directly, or a plug machined and a production mould laminated from it.
 *
 * C(N) = fixed · ceil(N/life) + N · unit. Each curve is a saw-tooth, so the cheaper one can change more than once (T14): the
 * number of parts is scanned, one break-even is never given.
 */
import { Refused } from '../geometry/trouble'

export type ToolClass = 'direct' | 'plug'

export interface ClassRates {
  /** Making the tool once. */
  readonly fixed: number
  /** Parts that one tool makes before it is worn out. */
  readonly life: number
  /** One part out of it. */
  readonly unit: number
  /** Days from the order to the first part. */
  readonly lead_days: number
}

export interface ToolClassChoice {
  /** Cheapest for the parts wanted; `direct` if equal. */
  readonly best: ToolClass
  readonly parts: number
  readonly cost: { readonly [C in ToolClass]: number }
  readonly tools: { readonly [C in ToolClass]: number }
  readonly lead_days: { readonly [C in ToolClass]: number }
  /** Cost of 1 … n parts, one per number of parts. */
  readonly curve: { readonly [C in ToolClass]: readonly number[] }
  /** Every number of parts at which the cheaper class changes, with the class that is cheaper from there on. */
  readonly crossings: readonly { readonly parts: number; readonly to: ToolClass }[]
  /** Numbers of parts at which both cost the same. */
  readonly ties: readonly number[]
}

/** C(N) = fixed · ceil(N/life) + N · unit. T13. */
export const toolCost = (rates: ClassRates, parts: number): number =>
  rates.fixed * Math.ceil(parts / rates.life) + parts * rates.unit

/**
 * @param upTo how far the scan goes; at least twice the parts wanted are looked at
 * @throws Refused `setting-impossible` for rates below 0 or a life below 1
 */
export function chooseToolClass(
  rates: { readonly [C in ToolClass]: ClassRates },
  parts: number,
  upTo = 200,
): ToolClassChoice {
  for (const [name, r] of Object.entries(rates))
    if (!(r.fixed >= 0 && r.unit >= 0 && r.life >= 1))
      throw new Refused(
        'setting-impossible',
        `tooling: the rates of the class ${name} cannot be used: costs are 0 or more, a tool makes at least one part.`,
      )
  if (!(parts >= 1)) throw new Refused('setting-impossible', `tooling: ${parts} parts wanted; order at least one.`)
  const n = Math.max(Math.ceil(upTo), 2 * Math.ceil(parts))
  const direct: number[] = []
  const plug: number[] = []
  const crossings: { parts: number; to: ToolClass }[] = []
  const ties: number[] = []
  let cheaper: ToolClass | null = null
  for (let k = 1; k <= n; k++) {
    const a = toolCost(rates.direct, k)
    const b = toolCost(rates.plug, k)
    direct.push(a)
    plug.push(b)
    if (a === b) {
      ties.push(k)
      continue
    }
    const now: ToolClass = a < b ? 'direct' : 'plug'
    if (cheaper !== null && now !== cheaper) crossings.push({ parts: k, to: now })
    cheaper = now
  }
  const cost = { direct: toolCost(rates.direct, parts), plug: toolCost(rates.plug, parts) }
  return {
    best: cost.plug < cost.direct ? 'plug' : 'direct',
    parts,
    cost,
    tools: { direct: Math.ceil(parts / rates.direct.life), plug: Math.ceil(parts / rates.plug.life) },
    lead_days: { direct: rates.direct.lead_days, plug: rates.plug.lead_days },
    curve: { direct, plug },
    crossings,
    ties,
  }
}
