/** Tubes that are not round are never taken for round in silence. */
import { expect, it } from 'vitest'
import { frameStep } from '../../../src/core/frame'
import { drain } from '../../../src/core/geometry/kernel'
import { makeMesh } from '../../../src/core/geometry/mesh'
import { random } from '../../support/random'

const LENGTH_MM = 800
const STEP_MM = 4

type Section = (turn: number) => readonly [number, number]

const ellipse =
  (w: number, h: number): Section =>
  (t) => [(w / 2) * Math.cos(t), (h / 2) * Math.sin(t)]

/** A square of side w whose corners are rounded by r, by the ray from its middle. */
const rounded =
  (w: number, r: number): Section =>
  (t) => {
    let [near, far] = [0, w]
    for (let k = 0; k < 50; k++) {
      const m = (near + far) / 2
      const x = Math.abs(m * Math.cos(t)) - w / 2 + r
      const y = Math.abs(m * Math.sin(t)) - w / 2 + r
      const out = Math.hypot(Math.max(x, 0), Math.max(y, 0)) + Math.min(Math.max(x, y), 0) - r
      if (out < 0) near = m
      else far = m
    }
    return [near * Math.cos(t), near * Math.sin(t)]
  }

function found(section: Section, noise_mm: number) {
  const chance = random(11)
  const around = 32
  const along = LENGTH_MM / STEP_MM
  const positions = new Float32Array(3 * around * (along + 1))
  const indices: number[] = []
  for (let l = 0; l <= along; l++)
    for (let i = 0; i < around; i++) {
      const [y, z] = section((2 * Math.PI * i) / around)
      const g = () => noise_mm * chance.gaussian()
      positions.set([l * STEP_MM + g(), y + g(), z + g()], 3 * (l * around + i))
      if (l === along) continue
      const [a, b] = [l * around + i, l * around + ((i + 1) % around)]
      indices.push(a, b, a + around, b, b + around, a + around)
    }
  const rim = new Uint8Array(around * (along + 1)).fill(1, 0, around).fill(1, around * along)
  const mesh = makeMesh('scan', positions, Uint32Array.from(indices))
  // Facets either way round: the one that looks outwards has tubes.
  const turned = Uint32Array.from(indices, (_, k) => indices[k - (k % 3) + [0, 2, 1][k % 3]!]!)
  const step = (ix: Uint32Array) =>
    drain(frameStep({ mesh: { ...mesh, indices: ix }, rimVertex: rim, noise_mm: Math.max(noise_mm, 0.02) }))
  const one = step(mesh.indices)
  return one.tubes.length > 0 ? one : step(turned)
}

it.each([
  ['an oval of 50 by 38 mm', ellipse(50, 38), 0.3],
  ['an oval of 44 by 38 mm', ellipse(44, 38), 0.3],
  ['a square of 40 mm with corners of 4 mm', rounded(40, 4), 0.3],
] as const)('%s is told, wherever a tube is made of it', (_, section, noise) => {
  const { tubes, findings } = found(section, noise)
  const told = findings.filter((f) => f.id.startsWith('frame.not-round.'))
  expect(told.map((f) => f.id)).toEqual(tubes.map((t) => `frame.not-round.${t.id}`))
  expect(told.length + findings.filter((f) => f.id === 'frame.no-tubes').length).toBeGreaterThan(0)
})

it.each([0, 0.3, 0.6])('a round tube of 40 mm is not, with noise of %d mm', (noise) => {
  const { tubes, findings } = found(ellipse(40, 40), noise)
  expect(tubes).toHaveLength(1)
  expect(findings.filter((f) => f.id.startsWith('frame.not-round.'))).toEqual([])
})

it.each([
  ['oval', 50, 38, ellipse(50, 38), null],
  ['oval', 44, 38, ellipse(44, 38), null],
  ['square', 40, 40, rounded(40, 14), 14],
] as const)('%s tube of %d by %d mm is known by its section', (kind, wide, narrow, section, corner) => {
  const { tubes } = found(section, 0.2)
  expect(tubes).toHaveLength(1)
  const told = tubes[0]!.section
  expect(told?.kind).toBe(kind)
  // Facets of 32 sides lie inside of the curve by up to 0.2 mm.
  expect(Math.abs(told!.wide_mm - wide)).toBeLessThan(0.5)
  expect(Math.abs(told!.narrow_mm - narrow)).toBeLessThan(0.5)
  if (corner === null) expect(told!.corner_mm).toBeNull()
  else expect(Math.abs(told!.corner_mm! - corner)).toBeLessThan(1.5)
})

it('a round tube has no other section', () => {
  expect(found(ellipse(40, 40), 0.3).tubes[0]!.section).toBeUndefined()
})
