import { type Point, UP } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { travel } from '../geometry/travel'
import type { Finding } from '../geometry/trouble'
import type { ClearanceRequest, Lowering, Shell } from './types'

/**
 * The ways on to the frame: both shells straight down along the pull, and along the approach that was given; and the topside
 * on to the underside, where one of the two was not drawn here. Exact along each way (`travel`); a shell that has to be
 * turned on its way is another question.
 */
export function* loweringOf(
  request: ClearanceRequest,
  shells: { readonly underside: Shell; readonly topside: Shell; readonly betweenShells: unknown },
): Steps<readonly Lowering[]> {
  const { frame } = request
  const ways: { along: Lowering['along']; direction: Point<'job'> }[] = [{ along: 'pull', direction: UP }]
  if (request.approach) ways.push({ along: 'approach', direction: request.approach })
  const asked: Omit<Lowering, 'free' | 'before_mm' | 'at'>[] = ways.flatMap((way) =>
    (['underside', 'topside'] as const).map((shell) => ({ shell, on: 'frame' as const, ...way })),
  )
  if (shells.betweenShells !== null) asked.push({ shell: 'topside', on: 'underside', along: 'pull', direction: UP })
  const out: Lowering[] = []
  for (const [i, one] of asked.entries()) {
    const standing = one.on === 'frame' ? frame : shells.underside.solid
    const { free, before_mm, at } = yield* within(
      i / asked.length,
      (i + 1) / asked.length,
      'way on to the frame',
      travel(shells[one.shell].solid, standing, one.direction),
    )
    out.push({
      ...one,
      free,
      before_mm: Number.isFinite(before_mm) ? before_mm : null,
      at: at && [at[0], at[1], at[2]],
    })
  }
  return out
}

export function loweringFindings(lowering: readonly Lowering[]): Finding[] {
  return lowering
    .filter(({ free }) => !free)
    .map((way): Finding => {
      const { shell, on, along, before_mm, at } = way
      const other = lowering.find((o) => o.shell === shell && o.on === on && o.along !== along)
      const below = on === 'frame' ? 'the frame' : 'the underside'
      return {
        id: `clearance.lowering.${shell}.${on === 'frame' ? along : 'closing'}`,
        step: 'clearance',
        // A leaning way that somebody tries out is a question; the way every top takes in the end is a hold.
        severity: along === 'pull' ? 'hold' : 'warning',
        message: `Lowered ${along === 'pull' ? 'straight down' : `along its approach (${way.direction.map((c) => c.toFixed(2)).join(', ')} back from the seat)`}, the ${shell} first touches ${below} ${before_mm!.toFixed(1)} mm above its seat${at ? ` at ${at.map((c) => c.toFixed(0)).join(', ')}` : ''}.`,
        advice: other?.free
          ? along === 'pull'
            ? 'Its given approach is free: lower it that way, and say so in the traveller.'
            : 'Straight down it is free: lower it that way, or lean the approach less.'
          : on === 'frame'
            ? 'Take away what stands over it, open the shell there, or give an approach that leans round it.'
            : 'Move the topside’s wall out, or the underside’s in, until one passes the other.',
        ...(at ? { where: at } : {}),
        value: before_mm!,
        limit: 0,
        unit: 'mm',
      }
    })
}
