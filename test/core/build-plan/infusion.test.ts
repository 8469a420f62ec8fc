/**
 * Filling against closed forms. Sources: Darcy; radial flow, Adams, Russel, Rebenfeld, Int. J. Multiphase Flow 14 (1988)
 * 203-215 (isotropic limit and ellipse ratio). Ids (I01 …) are those of the check values.
 */
import { describe, expect, it } from 'vitest'
import { type FlowMesh, flowNet, type Reinforcement } from '../../../src/core/build-plan/flow-mesh'
import { fill } from '../../../src/core/build-plan/infusion'
import { withPort } from '../../../src/core/build-plan/port'
import { drain } from '../../../src/core/geometry/kernel'
import { random } from '../../support/random'

const kind = (along = 2e-10, across = along, h = 4): Reinforcement => ({
  thickness_m: h / 1000,
  porosity: 0.5,
  along_m2: along,
  across_m2: across,
})
const FLOW = { viscosity_Pas: 0.2, pressure_Pa: 95_000, quantile: 0, residual: 0, vents: [] as number[] }

/** A strip from 0,0 to `length`,`width`, mm; nodes moved about a little inside, so that nothing lies in rows. */
function strip(length: number, width: number, nx: number, ny: number, kinds: Reinforcement[], shake = 0.2): FlowMesh {
  const chance = random(4)
  const positions = new Float64Array(3 * (nx + 1) * (ny + 1))
  const triangles: number[] = []
  for (let j = 0; j <= ny; j++)
    for (let i = 0; i <= nx; i++) {
      const free = i > 0 && i < nx && j > 0 && j < ny
      const at = 3 * (j * (nx + 1) + i)
      positions[at] = ((i + (free ? chance.between(-shake, shake) : 0)) * length) / nx
      positions[at + 1] = ((j + (free ? chance.between(-shake, shake) : 0)) * width) / ny
    }
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const a = j * (nx + 1) + i
      const b = a + 1
      const c = a + nx + 1
      const d = c + 1
      if ((i + j) % 2) triangles.push(a, b, d, a, d, c)
      else triangles.push(a, b, c, b, d, c)
    }
  return {
    positions,
    triangles: Uint32Array.from(triangles),
    kindOf: new Uint8Array(triangles.length / 3),
    kinds,
    plyAxis: [1, 0, 0],
  }
}

/** A disc of rings; ring k has 6k nodes. */
function disc(R: number, rings: number, kinds: Reinforcement[]): FlowMesh {
  const positions: number[] = [0, 0, 0]
  const triangles: number[] = []
  const first = (k: number) => (k === 0 ? 0 : 1 + 3 * k * (k - 1))
  for (let k = 1; k <= rings; k++)
    for (let i = 0; i < 6 * k; i++) {
      const t = (2 * Math.PI * i) / (6 * k)
      positions.push((R * k * Math.cos(t)) / rings, (R * k * Math.sin(t)) / rings, 0)
    }
  for (let k = 1; k <= rings; k++)
    for (let s = 0; s < 6; s++)
      for (let i = 0; i < k; i++) {
        const outer = (m: number) => first(k) + ((s * k + m) % (6 * k))
        const inner = (m: number) => (k === 1 ? 0 : first(k - 1) + ((s * (k - 1) + m) % (6 * (k - 1))))
        triangles.push(outer(i), outer(i + 1), inner(i))
        if (i < k - 1) triangles.push(inner(i), outer(i + 1), inner(i + 1))
      }
  return {
    positions: Float64Array.from(positions),
    triangles: Uint32Array.from(triangles),
    kindOf: new Uint8Array(triangles.length / 3),
    kinds,
    plyAxis: [1, 0, 0],
  }
}

const nodesWhere = (mesh: FlowMesh, test: (x: number, y: number) => boolean): number[] => {
  const found: number[] = []
  for (let i = 0; i < mesh.positions.length / 3; i++)
    if (test(mesh.positions[3 * i]!, mesh.positions[3 * i + 1]!)) found.push(i)
  return found
}

const I01_S = 1684.2105 // φ μ L² / (2 K ΔP), L = 0.8 m

describe('strip with a line feed', () => {
  it('fills in the time of I01, arrives as I02 says, and loses no resin', () => {
    const mesh = strip(800, 200, 100, 25, [kind()])
    const net = drain(flowNet(mesh))
    const result = drain(fill({ ...FLOW, net, inlets: [{ nodes: nodesWhere(mesh, (x) => x === 0) }] }))
    expect(Math.abs(result.fill_s / I01_S - 1)).toBeLessThan(0.005)
    expect(Math.abs(result.balance)).toBeLessThan(1e-12)
    expect(result.dry_m2).toBe(0)
    let square = 0
    let count = 0
    for (let i = 0; i < net.nodes; i++) {
      const x = mesh.positions[3 * i]! / 800
      if (x < 0.1 || x > 0.99) continue
      square += (result.arrival_s[i]! / (I01_S * x * x) - 1) ** 2
      count++
    }
    expect(Math.sqrt(square / count)).toBeLessThan(0.01)
  })

  it('does the same bent in space like its flat pattern', () => {
    const mesh = strip(800, 200, 64, 16, [kind(3e-10, 1e-10)])
    const flat = drain(
      fill({ ...FLOW, net: drain(flowNet(mesh)), inlets: [{ nodes: nodesWhere(mesh, (x) => x === 0) }] }),
    )
    // Rolled on a cylinder of radius 600 along x: facets are chords, so the length shrinks by the chord's share only.
    const bent = mesh.positions.slice()
    for (let i = 0; i < bent.length; i += 3) {
      const x = bent[i]!
      bent[i] = 600 * Math.sin(x / 600)
      bent[i + 2] = 600 * (1 - Math.cos(x / 600))
    }
    const rolled = { ...mesh, positions: bent }
    const net = drain(flowNet(rolled))
    const result = drain(fill({ ...FLOW, net, inlets: [{ nodes: nodesWhere(mesh, (x) => x === 0) }] }))
    expect(result.fill_s / flat.fill_s).toBeGreaterThan(0.99)
    expect(result.fill_s / flat.fill_s).toBeLessThan(1.002)
  })

  it('fills zones of other kinds as by hand: two in series', () => {
    // First half K1, then K2: pressure falls over both; t = φμ/ΔP (L1²/2K1 + L2²/2K2 + L1 L2/K1).
    const mesh = strip(800, 100, 120, 15, [kind(2e-10), kind(1e-10)], 0)
    for (let t = 0; t < mesh.kindOf.length; t++) {
      const x = [0, 1, 2].reduce((s, k) => s + mesh.positions[3 * mesh.triangles[3 * t + k]!]! / 3, 0)
      mesh.kindOf[t] = x < 400 ? 0 : 1
    }
    const result = drain(
      fill({ ...FLOW, net: drain(flowNet(mesh)), inlets: [{ nodes: nodesWhere(mesh, (x) => x === 0) }] }),
    )
    const L = 0.4
    const byHand = ((0.5 * 0.2) / 95_000) * ((L * L) / 4e-10 + (L * L) / 2e-10 + (L * L) / 2e-10)
    expect(Math.abs(result.fill_s / byHand - 1)).toBeLessThan(0.005)
  })

  it('changes by about a thousandth when many volumes fill in one step', () => {
    const mesh = strip(800, 600, 60, 45, [kind()])
    const net = drain(flowNet(mesh))
    const inlets = [{ nodes: nodesWhere(mesh, (x) => x === 0) }]
    const exact = drain(fill({ ...FLOW, net, inlets }))
    const quick = drain(fill({ ...FLOW, net, inlets, quantile: 0.05 }))
    expect(Math.abs(quick.fill_s / exact.fill_s - 1)).toBeLessThan(0.003)
    expect(quick.steps).toBeLessThan(exact.steps)
    expect(Math.abs(quick.balance)).toBeLessThan(1e-12)
  })
})

describe('disc', () => {
  it('fed from its ring fills in the time of I04', () => {
    const mesh = disc(500, 40, [kind()])
    const net = drain(flowNet(mesh))
    const result = drain(
      fill({ ...FLOW, net, inlets: [{ nodes: nodesWhere(mesh, (x, y) => Math.hypot(x, y) > 499.999) }] }),
    )
    // I04 in the limit of r → 0: φ μ R² / (4 K ΔP).
    const limit = (0.5 * 0.2 * 0.25) / (4 * 2e-10 * 95_000)
    expect(Math.abs(result.fill_s / limit - 1)).toBeLessThan(0.005)
    expect(Math.abs(result.balance)).toBeLessThan(1e-12)
  })

  it.each([1, 6, 20])('fed by a port of radius %s mm fills in the time of I03', (r0) => {
    const mesh = disc(500, 40, [kind()])
    const port = withPort(
      drain(flowNet(mesh)),
      mesh.positions,
      { at: [0, 0, 0], radius_mm: r0, conductance_m3: 2e-10 * 0.004, ratio: 1 },
      [1, 0, 0],
    )
    const result = drain(fill({ ...FLOW, net: port.net, inlets: [{ nodes: port.nodes }] }))
    const R = 0.5
    const r = r0 / 1000
    const exact = ((0.5 * 0.2) / (4 * 2e-10 * 95_000)) * (R * R * (2 * Math.log(R / r) - 1) + r * r)
    if (r0 === 6) expect(exact).toBeCloseTo(2580.869, 2)
    expect(Math.abs(result.fill_s / exact - 1)).toBeLessThan(0.005)
  })

  it.each([
    [2, Math.SQRT2],
    [3, 1.7320508],
    [10, 3.1623],
  ])('with K1/K2 = %s spreads as an ellipse of ratio √(K1/K2) (I07)', (ratio, expected) => {
    const mesh = disc(500, 40, [kind(1e-10 * ratio, 1e-10)])
    const port = withPort(
      drain(flowNet(mesh)),
      mesh.positions,
      { at: [0, 0, 0], radius_mm: 6, conductance_m3: 0.004 * 1e-10 * Math.sqrt(ratio), ratio },
      [1, 0, 0],
    )
    const result = drain(fill({ ...FLOW, net: port.net, inlets: [{ nodes: port.nodes }] }))
    // Arrival times by least squares: t is a function of (x/a)² + (y/b)² only; the b/a that scatters least.
    const points: [number, number, number][] = []
    for (let i = 0; i < mesh.positions.length / 3; i++) {
      const x = mesh.positions[3 * i]!
      const y = mesh.positions[3 * i + 1]!
      const s = Math.hypot(x / expected, y)
      if (s > 60 && s < 140) points.push([x, y, result.arrival_s[i]!])
    }
    const scatter = (q: number) => {
      const keyed = points.map(([x, y, t]) => [Math.hypot(x / q, y), t] as const).sort((a, b) => a[0] - b[0])
      let sum = 0
      for (let i = 2; i < keyed.length - 2; i++) {
        const around = (keyed[i - 2]![1] + keyed[i - 1]![1] + keyed[i + 1]![1] + keyed[i + 2]![1]) / 4
        sum += (keyed[i]![1] / around - 1) ** 2
      }
      return sum
    }
    let best = expected * 0.9
    for (let q = expected * 0.9; q < expected * 1.1; q += expected * 0.001) if (scatter(q) < scatter(best)) best = q
    expect(Math.abs(best / expected - 1)).toBeLessThan(0.01)
  })
})

describe('pockets', () => {
  it('a strip fed from both ends without a vent keeps p_r / p_a of its volume dry', () => {
    const mesh = strip(800, 100, 160, 20, [kind()])
    const net = drain(flowNet(mesh))
    const ends = [{ nodes: nodesWhere(mesh, (x) => x === 0 || x === 800) }]
    // A vent that is wet from the start leaves the rest sealed at once.
    const vents = nodesWhere(mesh, (x) => x === 0)
    const residual = 0.0493
    const result = drain(fill({ ...FLOW, net, inlets: ends, vents, residual }))
    const whole = net.volume.reduce((s, v) => s + v, 0)
    expect(result.pockets).toHaveLength(1)
    expect(result.pockets[0]!.area_m2).toBeCloseTo(0.08, 2)
    expect(Math.abs((whole - result.resin_m3) / whole - residual)).toBeLessThan(0.003)
    expect(Math.abs(result.balance)).toBeLessThan(1e-12)
  })

  it('one front that runs past its vent cuts off what lies behind it', () => {
    const mesh = strip(800, 100, 80, 10, [kind()])
    const net = drain(flowNet(mesh))
    const feed = [{ nodes: nodesWhere(mesh, (x) => x === 0) }]
    const early = drain(
      fill({ ...FLOW, net, inlets: feed, vents: nodesWhere(mesh, (x) => Math.abs(x - 400) < 6), residual: 0.05 }),
    )
    const late = drain(fill({ ...FLOW, net, inlets: feed, vents: nodesWhere(mesh, (x) => x === 800), residual: 0.05 }))
    expect(late.pockets).toHaveLength(0)
    expect(early.pockets.length).toBeGreaterThan(0)
    expect(early.pockets[0]!.area_m2).toBeCloseTo(0.04, 2)
  })

  it('what no resin can reach is reported as dry', () => {
    const mesh = strip(800, 100, 40, 8, [kind()])
    const apart = {
      ...mesh,
      triangles: mesh.triangles.filter((_, k) => {
        const t = Math.floor(k / 3)
        const x = [0, 1, 2].map((c) => mesh.positions[3 * mesh.triangles[3 * t + c]!]!)
        return !(Math.min(...x) < 400 && Math.max(...x) > 400) && !(Math.min(...x) < 420 && Math.max(...x) > 381)
      }),
    }
    const net = drain(flowNet({ ...apart, kindOf: new Uint8Array(apart.triangles.length / 3) }))
    const result = drain(fill({ ...FLOW, net, inlets: [{ nodes: nodesWhere(mesh, (x) => x === 0) }] }))
    expect(result.dry_m2).toBeGreaterThan(0.03)
  })
})
