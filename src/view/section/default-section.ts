/** Where the shell is cut when nobody asked for a section: through the least gap, so that most of the shell is left. */
import type { ClearanceResult } from '../../core/clearance/types'
import type { Section } from '../../state/session-store'

/** Share of the shell that should be left standing; the cut nearest to it is taken. */
const LEFT_STANDING = 0.7

export function defaultSection({ certificate, outline }: Pick<ClearanceResult, 'certificate' | 'outline'>): Section {
  const spot = certificate.at.shell
  let [west, east, half] = [Infinity, -Infinity, 0]
  for (let i = 0; i < outline.length; i += 2) {
    west = Math.min(west, outline[i]!)
    east = Math.max(east, outline[i]!)
    half = Math.max(half, Math.abs(outline[i + 1]!))
  }
  // Seen from starboard and forward, what lies to starboard or forward of the cut is taken away.
  const leftAcrossY = (half - spot[1]) / (2 * half)
  const leftAcrossX = (spot[0] - west) / (east - west)
  return Math.abs(leftAcrossY - LEFT_STANDING) <= Math.abs(leftAcrossX - LEFT_STANDING)
    ? { across: 'y', at_mm: spot[1], spot }
    : { across: 'x', at_mm: spot[0], spot }
}
