import { describe, expect, it } from 'vitest'
import { flatPattern } from '../../../src/core/build-plan/flat-pattern'
import { drain } from '../../../src/core/geometry/kernel'

/** A grid of nu × nv cells; each node where `at` says. */
function sheet(nu: number, nv: number, at: (u: number, v: number) => readonly [number, number, number]) {
  const positions = new Float64Array(3 * (nu + 1) * (nv + 1))
  const triangles: number[] = []
  for (let i = 0; i <= nu; i++)
    for (let j = 0; j <= nv; j++) {
      positions.set(at(i / nu, j / nv), 3 * (i * (nv + 1) + j))
      if (i === nu || j === nv) continue
      const a = i * (nv + 1) + j
      triangles.push(a, a + nv + 1, a + 1, a + 1, a + nv + 1, a + nv + 2)
    }
  return { positions, triangles: Uint32Array.from(triangles) }
}

const flat = ({ positions, triangles }: ReturnType<typeof sheet>) => drain(flatPattern(positions, triangles))

const size = (uv: Float64Array) => {
  let [u, v] = [0, 0]
  for (let i = 0; i < uv.length; i += 2) {
    u = Math.max(u, uv[i]!)
    v = Math.max(v, uv[i + 1]!)
  }
  return [u, v] as const
}

/** Chord of an arc: what the facets of a rolled sheet are long. */
const chords = (r: number, turn: number, n: number) => 2 * r * n * Math.sin(turn / (2 * n))

describe('a piece laid flat', () => {
  it('half a pipe becomes a rectangle, nothing stretched', () => {
    const [r, l, n] = [300, 500, 40]
    const made = flat(sheet(n, 12, (u, v) => [r * Math.cos(Math.PI * u), r * Math.sin(Math.PI * u), -l * v]))
    expect(made.folded).toBe(0)
    expect(made.strainMost).toBeLessThan(1e-7)
    expect(size(made.uv)[0]).toBeCloseTo(chords(r, Math.PI, n), 6)
    expect(size(made.uv)[1]).toBeCloseTo(l, 6)
  })

  it('a quarter of a skirt with 5° of draft becomes a sector with its slant lengths', () => {
    const draft = (5 * Math.PI) / 180
    const [top, deep] = [400, 60]
    const made = flat(
      sheet(48, 6, (u, v) => {
        const r = top + v * deep * Math.tan(draft)
        return [r * Math.cos((Math.PI / 2) * u), r * Math.sin((Math.PI / 2) * u), -v * deep]
      }),
    )
    expect(made.folded).toBe(0)
    expect(made.strain95).toBeLessThan(1e-4)
    // A sector of the cone: its arc is the skirt's, its sagitta and width follow from the slant radius r / sin δ.
    const slant = deep / Math.cos(draft)
    const outer = top / Math.sin(draft) + slant
    const half = (Math.PI / 4) * Math.sin(draft)
    expect(size(made.uv)[0]).toBeCloseTo(2 * outer * Math.sin(half), 0)
    expect(size(made.uv)[1]).toBeCloseTo(outer - (outer - slant) * Math.cos(half), 0)
  })

  it('a flat ring stays as it is', () => {
    const made = flat(sheet(24, 3, (u, v) => [(200 + 100 * v) * Math.cos(6 * u), (200 + 100 * v) * Math.sin(6 * u), 0]))
    expect(made.strainMost).toBeLessThan(1e-7)
  })

  it('a cap of a sphere cannot: stretched by about a quarter of the square of its half angle over all, more when deeper', () => {
    const cap = (half: number) =>
      flat(
        sheet(24, 24, (u, v) => {
          const [x, y] = [Math.tan(half) * (2 * u - 1), Math.tan(half) * (2 * v - 1)]
          const l = Math.sqrt(1 + x * x + y * y)
          return [(1000 * x) / l, (1000 * y) / l, 1000 / l]
        }),
      )
    const shallow = cap(0.1)
    const deep = cap(0.4)
    expect(shallow.folded).toBe(0)
    // Rim against middle of a spherical cap differ by θ²/6 in length; a fair lay spreads it to both sides.
    expect(shallow.strainMost).toBeGreaterThan(0.1 ** 2 / 12)
    expect(shallow.strainMost).toBeLessThan(0.1 ** 2 * 0.6)
    expect(deep.strain95 / shallow.strain95).toBeGreaterThan(10)
    expect(deep.strain95).toBeGreaterThan(0.02)
  })

  it('turned in space, the same', () => {
    const bowl = (turn: number) =>
      flat(
        sheet(20, 20, (u, v) => {
          const [x, y, z] = [400 * u, 300 * v, 200 * (u - 0.5) ** 2]
          return [x * Math.cos(turn) - z * Math.sin(turn), y, x * Math.sin(turn) + z * Math.cos(turn)]
        }),
      )
    const [a, b] = [bowl(0), bowl(0.7)]
    expect(b.strain95).toBeCloseTo(a.strain95, 9)
    expect(size(b.uv)[0]).toBeCloseTo(size(a.uv)[0], 3)
  })
})
