/**
 * Cutter access on a 2.6 × 1.9 m face at 2 mm pitch, with noise: the tips of a ball, a flat and a bull-nose over every point of
 * the grid. Must: a ball in under 3 s, any cutter in under 5 s at 700,000 facets, edges sorted anew each time.
 */
import { drain } from '../../src/core/geometry/kernel'
import { facetCount, type Mesh, makeMesh } from '../../src/core/geometry/mesh'
import { contactMesh } from '../../src/core/tooling/contact'
import { dropCutter } from '../../src/core/tooling/drop-cutter'
import { random } from '../support/random'

function face(facets: number, noise_mm: number): Mesh<'job'> {
  const [width, depth] = [2600, 1900]
  const step = Math.sqrt((2 * width * depth) / facets)
  const nx = Math.round(width / step)
  const ny = Math.round(depth / step)
  const rand = random(1)
  const p = new Float32Array(3 * (nx + 1) * (ny + 1))
  for (let j = 0; j <= ny; j++)
    for (let i = 0; i <= nx; i++) {
      const x = (i * width) / nx - width / 2
      const y = (j * depth) / ny - depth / 2
      const out = Math.max(Math.abs(x) - width / 2 + 60, Math.abs(y) - depth / 2 + 60) + 12
      let z = 60 - (x * x + y * y) / 20_000
      if (out > 0) z -= out < 12 ? 12 - Math.sqrt(144 - out * out) : 12 + Math.min(60, (out - 12) * 19.08)
      p.set([x, y, z + noise_mm * rand.gaussian()], 3 * (j * (nx + 1) + i))
    }
  const t = new Uint32Array(6 * nx * ny)
  for (let j = 0; j < ny; j++)
    for (let i = 0; i < nx; i++) {
      const a = j * (nx + 1) + i
      t.set([a, a + 1, a + nx + 2, a, a + nx + 2, a + nx + 1], 6 * (j * nx + i))
    }
  return makeMesh('job', p, t)
}

const grid = { x0: -1300, y0: -950, h: 2, nx: 1301, ny: 951 }
const cutters = [
  ['ball 20', { diameter_mm: 20, cornerRadius_mm: 10 }],
  ['flat 20', { diameter_mm: 20, cornerRadius_mm: 0 }],
  ['bull-nose 20, corner 2', { diameter_mm: 20, cornerRadius_mm: 2 }],
  ['flat 50 (holder)', { diameter_mm: 50, cornerRadius_mm: 0 }],
] as const

for (const facets of [195_000, 700_000])
  for (const noise of [0, 0.05]) {
    const mesh = face(facets, noise)
    for (const [name, cutter] of cutters) {
      const times: number[] = []
      for (let k = 0; k < 3; k++) {
        const began = performance.now()
        drain(dropCutter(drain(contactMesh(mesh)), cutter, grid))
        times.push(performance.now() - began)
      }
      times.sort((a, b) => a - b)
      console.log(
        `${facetCount(mesh)} facets, noise ${noise} mm, ${name}: ${(times[1]! / 1000).toFixed(2)} s for ${grid.nx * grid.ny} tips`,
      )
    }
  }
