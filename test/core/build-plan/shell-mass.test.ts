/** What a curved shell weighs and where, against volume and middle by a solid library (manifold-3d, used here only). */
import initManifold from 'manifold-3d'
import { beforeAll, describe, expect, it } from 'vitest'
import { resinOf, shellPlan, stackOf } from '../../../src/core/build-plan/shell-plan'
import { ZONES } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh } from '../../../src/core/geometry/mesh'
import { jobSchema } from '../../../src/core/job'

let wasm: Awaited<ReturnType<typeof initManifold>>
beforeAll(async () => {
  wasm = await initManifold()
  wasm.setup()
})

const settings = jobSchema.parse({
  format: 'mouldwright-job',
  version: 1,
  scan: { files: ['x'] },
  build: { gelcoat_mm: 0, process: 'hand', underside: [{ fabric: 'biaxial-800', layers: 8 }] },
}).build
const made = stackOf(settings.underside, 'hand', resinOf(settings.resin))

/** A cap of a sphere, half angle 0.7, with a hood at one end; offset outwards along the radius. */
function cap(radius: number) {
  const n = 40
  const positions: number[] = []
  const triangles: number[] = []
  for (let i = 0; i <= n; i++)
    for (let j = 0; j <= n; j++) {
      const [x, y] = [Math.tan(0.7 * (i / n - 0.35)), Math.tan(0.5 * (2 * (j / n) - 1))]
      const l = Math.sqrt(1 + x * x + y * y)
      positions.push((radius * x) / l, (radius * y) / l, radius / l)
      if (i === n || j === n) continue
      const a = i * (n + 1) + j
      triangles.push(a, a + n + 1, a + 1, a + 1, a + n + 1, a + n + 2)
    }
  return { n, positions, triangles }
}

function closedShell(radius: number, thickness_mm: number) {
  const [inner, outer] = [cap(radius), cap(radius + thickness_mm)]
  const { n } = inner
  const all = (n + 1) * (n + 1)
  const t = [...outer.triangles.map((v) => v + all)]
  for (let k = 0; k < inner.triangles.length; k += 3)
    t.push(inner.triangles[k]!, inner.triangles[k + 2]!, inner.triangles[k + 1]!)
  const rim = [
    ...Array.from({ length: n }, (_, k) => k * (n + 1)),
    ...Array.from({ length: n }, (_, k) => n * (n + 1) + k),
    ...Array.from({ length: n }, (_, k) => (n - k) * (n + 1) + n),
    ...Array.from({ length: n }, (_, k) => n - k),
  ]
  for (let k = 0; k < rim.length; k++) {
    const [a, b] = [rim[k]!, rim[(k + 1) % rim.length]!]
    t.push(a, b, b + all, a, b + all, a + all)
  }
  const face = makeMesh('job', Float32Array.from(inner.positions), Uint32Array.from(inner.triangles))
  const solid = makeMesh('job', Float32Array.from([...inner.positions, ...outer.positions]), Uint32Array.from(t))
  return { face, solid }
}

/** Middle of a body along an axis: x0 V + the integral of the volume beyond x (Simpson), from the library's cuts alone. */
function middleAlong(body: InstanceType<typeof wasm.Manifold>, axis: 0 | 1 | 2): number {
  const { min, max } = body.boundingBox()
  const steps = 60
  const h = (max[axis] - min[axis]) / steps
  let sum = 0
  for (let k = 0; k <= steps; k++) {
    const normal: [number, number, number] = [0, 0, 0]
    normal[axis] = 1
    const beyond = body.trimByPlane(normal, min[axis] + h * k)
    sum += beyond.volume() * (k === 0 || k === steps ? 1 : k % 2 === 1 ? 4 : 2)
    beyond.delete()
  }
  return min[axis] + (sum * h) / 3 / body.volume()
}

describe('a curved shell', () => {
  it('weighs what the library’s volume says, within 0.1 %, and is balanced where it says', () => {
    const { face, solid } = closedShell(600, made.thickness_mm)
    const body = new wasm.Manifold(
      new wasm.Mesh({ numProp: 3, vertProperties: solid.positions, triVerts: solid.indices }),
    )
    expect(body.volume()).toBeGreaterThan(0)
    const zone = new Uint8Array(face.indices.length / 3).fill(ZONES.indexOf('crown'))
    const plan = drain(shellPlan({ name: 'underside', face, zone, solid, drawn_mm: made.thickness_mm }, settings, []))
    const density = (made.glass_kgm2 + made.resin_kgm2) / made.thickness_mm // kg per m² and mm: kg/dm³
    const want = (body.volume() * density) / 1e6
    expect(Math.abs(plan.mass_kg / want - 1)).toBeLessThan(1e-3)
    // The moulded face alone would be wrong by more: the shell is curved.
    const [face_m2] = plan.area_m2
    expect(Math.abs((face_m2 * made.thickness_mm * density) / want - 1)).toBeGreaterThan(5e-3)
    const { min, max } = body.boundingBox()
    for (const k of [0, 1, 2] as const)
      expect(Math.abs(plan.centre[k]! - middleAlong(body, k))).toBeLessThan(1e-3 * (max[k] - min[k]))
    body.delete()
  })
})
