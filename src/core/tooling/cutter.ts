import { Refused } from '../geometry/trouble'

/** The cutting end of a tool: `cornerRadius_mm` equals the radius on a ball, is 0 on a flat, lies between on a bull-nose. */
export interface CutterShape {
  readonly diameter_mm: number
  readonly cornerRadius_mm: number
}

export interface CutterRadii {
  /** Whole radius, mm. */
  readonly R: number
  /** Corner radius, mm. */
  readonly r: number
}

/** @throws Refused `setting-impossible` for a cutter without diameter or with a corner radius beyond its own radius */
export function cutterRadii(cutter: CutterShape): CutterRadii {
  const R = cutter.diameter_mm / 2
  const r = cutter.cornerRadius_mm
  if (!(R > 0 && R < 1000))
    throw new Refused('setting-impossible', `tooling: a cutter of ${cutter.diameter_mm} mm diameter cannot be used.`)
  if (!(r >= 0 && r <= R * (1 + 1e-12)))
    throw new Refused(
      'setting-impossible',
      `tooling: corner radius ${r} mm does not fit a cutter of ${cutter.diameter_mm} mm; it lies between 0 (flat) and ${R} mm (ball).`,
    )
  return { R, r: Math.min(r, R) }
}

/** Height of the cutter's lower surface above its tip at distance `rho` from its axis, mm; Infinity beyond its radius. */
export function profileHeight_mm({ R, r }: CutterRadii, rho: number): number {
  if (rho > R) return Infinity
  const out = rho - (R - r)
  if (out <= 0) return 0
  return r - Math.sqrt(Math.max(0, r * r - out * out))
}

/**
 * Where a cutter that touches a straight line stands: the sine of the contact angle.
 *
 * The line rises with sine `s`; the cutter's axis passes at plan distance `d` from it. With w = n·v, v across the line in
 * plan, the contact normal n gives d = w (r + (R − r)/√(s² + (1 − s²) w²)): monotone in w, so a guarded Newton finds it; ball
 * and flat have closed forms. No quartic is needed.
 *
 * @param d between −R and R, mm
 * @param s2 s², 0 … 1
 * @returns w, with the sign of `d`; on a level line a flat floor (|d| ≤ R − r) gives 0
 */
export function lineContact(R: number, r: number, d: number, s2: number): number {
  const a = Math.abs(d)
  let w: number
  if (r === R) w = a / R
  else if (r === 0) {
    const rest = R * R - a * a * (1 - s2)
    w = rest > 0 ? Math.sqrt((a * a * s2) / rest) : 1
  } else w = bullContact(R, r, a, s2)
  if (w > 1) w = 1
  return d < 0 ? -w : w
}

function bullContact(R: number, r: number, d: number, s2: number): number {
  const flat = R - r
  if (s2 === 0) return d <= flat ? 0 : (d - flat) / r
  let low = 0
  let high = 1
  // Beyond the torus' middle circle the answer is near (d − flat)/r, inside it near d s/flat.
  let w = d > flat ? Math.max((d - flat) / r, 1e-9) : Math.min(1, (d * Math.sqrt(s2)) / flat)
  for (let round = 0; round < 60; round++) {
    const q = s2 + (1 - s2) * w * w
    const root = Math.sqrt(q)
    const value = w * (r + flat / root) - d
    if (value > 0) high = w
    else low = w
    if (Math.abs(value) < 1e-12 * R || high - low < 1e-15) break
    const slope = r + (flat * s2) / (q * root)
    const next = w - value / slope
    w = next > low && next < high ? next : (low + high) / 2
  }
  return w
}
