/**
 * Filling of a 2.6 × 1.9 m shell with 10,000 nodes, fed along its centreline, a flow medium 40 times as open over the crown and
 * none in a band of 60 mm round it. Must: under 5 s; and no step of the kernel longer than 200 ms, so that it can be cancelled.
 */
import { type FlowMesh, flowNet } from '../../src/core/build-plan/flow-mesh'
import { fill } from '../../src/core/build-plan/infusion'
import type { Steps } from '../../src/core/geometry/kernel'

const [wide, deep, nx, ny] = [2600, 1900, 116, 84]

function shell(): FlowMesh {
  const positions = new Float64Array(3 * (nx + 1) * (ny + 1))
  const triangles: number[] = []
  const kindOf: number[] = []
  for (let j = 0; j <= ny; j++)
    for (let i = 0; i <= nx; i++) {
      const [x, y] = [(i / nx - 0.5) * wide, (j / ny - 0.5) * deep]
      positions.set([x, y, 60 - (x * x + y * y) / 20_000], 3 * (j * (nx + 1) + i))
      if (i === nx || j === ny) continue
      const a = j * (nx + 1) + i
      triangles.push(a, a + 1, a + nx + 2, a, a + nx + 2, a + nx + 1)
      const band = Math.max(Math.abs(x) - wide / 2, Math.abs(y) - deep / 2) > -60 ? 1 : 0
      kindOf.push(band, band)
    }
  const plies = { thickness_m: 0.004, porosity: 0.55, along_m2: 1e-10, across_m2: 1e-10 }
  return {
    positions,
    triangles: Uint32Array.from(triangles),
    kindOf: Uint8Array.from(kindOf),
    kinds: [{ ...plies, along_m2: 4e-9, across_m2: 4e-9 }, plies],
    plyAxis: [1, 0, 0],
  }
}

/** Runs to the end; the longest time between two yields, ms of this thread. */
function timed<T>(steps: Steps<T>): { value: T; longest_ms: number } {
  let longest_ms = 0
  for (;;) {
    const from = process.cpuUsage()
    const step = steps.next()
    const { user, system } = process.cpuUsage(from)
    longest_ms = Math.max(longest_ms, (user + system) / 1000)
    if (step.done) return { value: step.value, longest_ms }
  }
}

const from = process.cpuUsage()
const net = timed(flowNet(shell()))
const middle = Array.from({ length: nx + 1 }, (_, i) => (ny / 2) * (nx + 1) + i)
const rim = Array.from({ length: (nx + 1) * (ny + 1) }, (_, n) => n).filter((n) => {
  const [i, j] = [n % (nx + 1), Math.floor(n / (nx + 1))]
  return i === 0 || i === nx || j === 0 || j === ny
})
const made = timed(
  fill({
    net: net.value,
    viscosity_Pas: 0.2,
    pressure_Pa: 95_000,
    inlets: [{ nodes: middle }],
    vents: rim,
    quantile: 0.05,
    residual: 0.05,
  }),
)
const { user, system } = process.cpuUsage(from)
process.stdout.write(
  `${net.value.nodes} nodes, ${made.value.steps} steps: ${((user + system) / 1e6).toFixed(2)} s of processor; longest between two yields ${Math.max(net.longest_ms, made.longest_ms).toFixed(0)} ms; full in ${(made.value.fill_s / 60).toFixed(1)} min, balance ${made.value.balance.toExponential(1)}\n`,
)
