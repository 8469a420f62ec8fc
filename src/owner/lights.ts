/** Which colour a lamp shows to an eye: arcs of COLREGS Rule 21, in plan. */
export type Rgb = readonly [number, number, number]

const WHITE: Rgb = [1, 0.96, 0.86]
const RED: Rgb = [1, 0.12, 0.08]
const GREEN: Rgb = [0.1, 0.95, 0.45]
const YELLOW: Rgb = [1, 0.8, 0.2]

/** From–to, degrees from the light's own ahead, clockwise. */
const ARCS: Readonly<Record<string, readonly (readonly [number, number, Rgb])[]>> = {
  masthead: [[-112.5, 112.5, WHITE]],
  port: [[-112.5, 0, RED]],
  starboard: [[0, 112.5, GREEN]],
  combined: [
    [-112.5, 0, RED],
    [0, 112.5, GREEN],
  ],
  stern: [[112.5, 247.5, WHITE]],
  towing: [[112.5, 247.5, YELLOW]],
}

/** @returns null outside every arc */
export function shownTo(
  light: { readonly kind: string; readonly forward_deg: number },
  at: readonly [number, number, number],
  eye: readonly [number, number, number],
): Rgb | null {
  const arcs = ARCS[light.kind]
  if (!arcs) return WHITE
  // Clockwise from the bow: y is to port.
  const bearing = (-Math.atan2(eye[1] - at[1], eye[0] - at[0]) * 180) / Math.PI - light.forward_deg
  for (const [from, to, colour] of arcs) {
    const turned = ((((bearing - from) % 360) + 360) % 360) + from
    if (turned <= to) return colour
  }
  return null
}

/** Whether a lamp lights the deck around it: a navigation light is to be seen, not to see by. */
export const lightsDeck = (kind: string): boolean => kind === 'deck'
