/**
 * The batten: a thin pine strip through lead weights. A thin batten at small deflection is the natural cubic spline (no
 * moment at its ends, carried on straight), so a weight that sinks swells its neighbours by itself; nothing is eased or clamped.
 *
 * All in px; y grows downward.
 */

/** First and last weight stand this far inside the ends of the line. */
export const WEIGHT_INSET_PX = 88
/** The strip goes on straight past the last weights. */
const OVERRUN_PX = 48
export const STRIP_THICKNESS_PX = 5

/** The fair curve, a gentle sag. @param t 0…1 along the steps */
export const fair_px = (t: number): number => 42 - 10 * (1 - (2 * t - 1) ** 2)

/** How much lower a step with holds sits. */
export const sink_px = (holds: number): number => (holds > 0 ? Math.min(22, 14 + 4 * holds) : 0)

/** Evenly spaced places of `count` weights on a line of this width. */
export function weightPlaces_px(count: number, width: number, inset = WEIGHT_INSET_PX): number[] {
  if (count === 1) return [width / 2]
  return Array.from({ length: count }, (_, i) => inset + ((width - 2 * inset) * i) / (count - 1))
}

export interface Spline {
  /** Height at any x; straight beyond the ends. */
  at(x: number): number
  slope(x: number): number
}

/**
 * Natural cubic spline through points with growing x: second derivatives from the tridiagonal system, solved by elimination
 * (any numerical textbook; the equations are those of a simply supported beam).
 */
export function naturalSpline(xs: readonly number[], ys: readonly number[]): Spline {
  const n = xs.length
  if (n !== ys.length || n === 0) throw new Error('batten: a spline needs as many heights as places')
  const moment = new Float64Array(n)
  const upper = new Float64Array(n)
  for (let i = 1; i < n - 1; i++) {
    const left = xs[i]! - xs[i - 1]!
    const right = xs[i + 1]! - xs[i]!
    const bend = (ys[i + 1]! - ys[i]!) / right - (ys[i]! - ys[i - 1]!) / left
    const pivot = 2 * (left + right) - left * upper[i - 1]!
    upper[i] = right / pivot
    moment[i] = (6 * bend - left * moment[i - 1]!) / pivot
  }
  for (let i = n - 2; i > 0; i--) moment[i] = moment[i]! - upper[i]! * moment[i + 1]!

  const spanOf = (x: number) => {
    let i = 0
    while (i < n - 2 && x > xs[i + 1]!) i++
    return i
  }
  const inside = (x: number): { y: number; slope: number } => {
    if (n === 1) return { y: ys[0]!, slope: 0 }
    const i = spanOf(x)
    const h = xs[i + 1]! - xs[i]!
    const a = (xs[i + 1]! - x) / h
    const b = 1 - a
    const y = a * ys[i]! + b * ys[i + 1]! + (((a ** 3 - a) * moment[i]! + (b ** 3 - b) * moment[i + 1]!) * h * h) / 6
    const slope =
      (ys[i + 1]! - ys[i]!) / h + (((1 - 3 * a * a) * moment[i]! + (3 * b * b - 1) * moment[i + 1]!) * h) / 6
    return { y, slope }
  }
  const held = (x: number) => Math.min(xs[n - 1]!, Math.max(xs[0]!, x))
  return {
    at: (x) => {
      const e = inside(held(x))
      return e.y + (x - held(x)) * e.slope
    },
    slope: (x) => inside(held(x)).slope,
  }
}

const num = (v: number): string => v.toFixed(2)

/** Outline of the strip, its thickness laid square to the curve. */
export function stripPath(spline: Spline, xs: readonly number[]): string {
  const from = xs[0]! - OVERRUN_PX
  const to = xs.at(-1)! + OVERRUN_PX
  const steps = Math.max(2, Math.ceil((to - from) / 6))
  const [upper, lower]: [string[], string[]] = [[], []]
  for (let i = 0; i <= steps; i++) {
    const x = from + ((to - from) * i) / steps
    const y = spline.at(x)
    const m = spline.slope(x)
    const half = STRIP_THICKNESS_PX / 2 / Math.sqrt(1 + m * m)
    upper.push(`${num(x + m * half)} ${num(y - half)}`)
    lower.push(`${num(x - m * half)} ${num(y + half)}`)
  }
  return `M${upper.join('L')}L${lower.reverse().join('L')}Z`
}

/** The fair curve where the batten has left it by more than `least_px`, as line runs. */
export function fairPath(spline: Spline, xs: readonly number[], least_px = 1.2): string {
  const from = xs[0]!
  const to = xs.at(-1)!
  let path = ''
  let drawing = false
  for (let x = from; x <= to; x += 4) {
    const y = fair_px(to > from ? (x - from) / (to - from) : 0.5)
    const away = Math.abs(spline.at(x) - y) > least_px
    if (away) path += `${drawing ? 'L' : 'M'}${num(x)} ${num(y)}`
    drawing = away
  }
  return path
}
