import { describe, expect, it } from 'vitest'
import { analysisStep, asMade } from '../../../src/core/analysis'
import { drain } from '../../../src/core/geometry/kernel'
import { type Mesh, transformMesh } from '../../../src/core/geometry/mesh'
import { register } from '../../../src/core/geometry/register'
import { Refused } from '../../../src/core/geometry/trouble'
import { random } from '../../support/random'
import { bent, box, gridPlate, turned } from '../../support/solids'

const [L, B] = [2400, 1800]
/** A crowned sheet with a turned-down rim and a boss that tells forward from aft and port from starboard; middle at 0, 0. */
const shape = (x: number, y: number): number => {
  const edge = Math.max(0, Math.abs(x) / (L / 2) - 0.8, Math.abs(y) / (B / 2) - 0.8)
  const boss = Math.max(0, 1 - ((x - 500) ** 2 + (y - 300) ** 2) / 250 ** 2)
  return -((x / 1000) ** 2 * 20 + (y / 1000) ** 2 * 30) - 450 * edge + 40 * boss * boss
}
const sheet = (nx: number, ny: number, more: (x: number, y: number) => number = () => 0): Mesh<'job'> =>
  bent(gridPlate(L, B, nx, ny), (x, y) => [
    x - L / 2,
    y - B / 2,
    shape(x - L / 2, y - B / 2) + more(x - L / 2, y - B / 2),
  ])
const face = sheet(120, 90)
const check = (scan: Mesh, tolerance_mm = 1) => drain(asMade(scan, face, { tolerance_mm }))

describe('a part as made', () => {
  it('is its plan where it is its plan', () => {
    const same = check(face)
    expect(same.within).toBe(1)
    expect(same.profile_mm).toBeLessThan(1e-3)
    expect(same.unseen_mm2).toBe(0)
    expect(Math.abs(same.twist_deg!)).toBeLessThan(1e-6)
  })

  it('a patch that stands 1.5 mm high is out of a zone of 2, by its area; in one of 4 all is in', () => {
    const scan = sheet(240, 180, (x, y) => (x > 0 && y > 0 && x < 600 && y < 400 ? 1.5 : 0))
    const share = (600 * 400) / (L * B)
    const two = check(scan, 2)
    expect(two.within).toBeGreaterThan(1 - share * 1.15)
    expect(two.within).toBeLessThan(1 - share * 0.85)
    expect(check(scan, 4).within).toBe(1)
    expect(two.highest_mm).toBeGreaterThan(1.4)
    expect(two.profile_mm).toBeCloseTo(2 * two.highest_mm, 9)
    expect(two.deviation.values.filter((v) => v > 1).length).toBeGreaterThan(100)
  })

  it('tells twist and the port half’s height by their closed forms', () => {
    // dz = k x y turns the crown by 2 atan(k L/2) over its length; dz = c y lifts the port half by c B/2 over starboard's.
    const k = 2e-6
    const twisted = check(
      sheet(120, 90, (x, y) => -k * x * y),
      50,
    )
    expect(twisted.twist_deg!).toBeGreaterThan(((2 * k * (L / 2) * 180) / Math.PI) * 0.85)
    expect(twisted.twist_deg!).toBeLessThan(((2 * k * (L / 2) * 180) / Math.PI) * 1.02)
    const rolled = check(
      sheet(120, 90, (_, y) => 1e-3 * y),
      50,
    )
    expect(rolled.portMinusStarboard_mm! / (1e-3 * B * 0.5)).toBeGreaterThan(0.8)
    expect(rolled.portMinusStarboard_mm! / (1e-3 * B * 0.5)).toBeLessThan(1.05)
  })

  it('what lies past the trim, or shows the other side, is no deviation', () => {
    const wide = bent(gridPlate(L + 16, B, 120, 90), (x, y) => [
      x - L / 2 - 8,
      y - B / 2,
      shape(x - L / 2 - 8, y - B / 2),
    ])
    const past = check(wide, 1)
    expect(past.beyond_mm2).toBeGreaterThan(0)
    const other = check(turned(face), 1)
    expect(other.measured_mm2).toBe(0)
    expect(other.unseen_mm2).toBeGreaterThan(4e6)
  })
})

describe('laying a scan on the plan', () => {
  it.each([1, 2])('finds it again from any pose, with noise (seed %i)', (seed) => {
    const rng = random(seed)
    const noisy = sheet(100, 100, () => 0.1 * rng.gaussian())
    const away = transformMesh(noisy, rng.motion(5000), 'job')
    const fit = drain(register(away, face, { start: 'any' }))
    const back = transformMesh(away, fit.motion, 'job')
    let worst = 0
    for (let i = 0; i < back.positions.length; i++)
      worst = Math.max(worst, Math.abs(back.positions[i]! - noisy.positions[i]!))
    expect(worst).toBeLessThan(0.15)
    expect(fit.overlap).toBeGreaterThan(0.99)
    expect(check(back, 1).within).toBeGreaterThan(0.99)
  })

  it('refuses another thing', () => {
    expect(() => drain(register(box([0, 0, 0], [300, 200, 900]), face, { start: 'any' }))).toThrow(Refused)
  })
})

describe('as-made scans in the step', () => {
  const request = (name: string, mesh: Mesh, turned = false) => ({
    name,
    mesh,
    against: 'topside' as const,
    face,
    turned,
    start: 'near' as const,
    tolerance_mm: 1,
  })

  it('says what is in, what is out and where, and what does not fit, each in a finding of its own', () => {
    const bump = sheet(120, 90, (x, y) => (Math.abs(x + 600) < 100 && Math.abs(y) < 100 ? 2 : 0))
    const { asMade: results, findings } = drain(
      analysisStep({
        parts: [],
        asMade: [
          request('good.stl', face),
          request('mould.stl', turned(face), true),
          request('bump.stl', bump),
          request('crate.stl', box([0, 0, 0], [300, 200, 900])),
        ],
      }),
    )
    expect(results.map((r) => r.made !== null)).toEqual([true, true, true, false])
    expect(results[1]!.made!.within).toBe(1)
    expect(findings.map((f) => [f.id, f.severity])).toEqual([
      ['analysis.as-made.topside.good.stl', 'note'],
      ['analysis.as-made.topside.mould.stl', 'note'],
      ['analysis.as-made.topside.bump.stl', 'warning'],
      ['analysis.as-made.topside.crate.stl', 'warning'],
    ])
    const { where, value } = findings[2]!
    expect(value!).toBeGreaterThan(3.6)
    expect(Math.abs(where![0] + 600)).toBeLessThan(100)
  })
})
