import { expect, it } from 'vitest'
import { invertRigid } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { bounds, facetCount, transformMesh } from '../../../src/core/geometry/mesh'
import { scanStep } from '../../../src/core/scan'
import { random } from '../../support/random'
import { refusal } from '../../support/refusals'
import { inAxes, without } from '../../support/solids'
import { binaryStl, file } from '../../support/write-mesh-files'
import { tubeFrame } from '../datum/tube-frame'

it('lays a second file on the first by picked pairs and joins them; as it stands it would lie elsewhere', () => {
  const { mesh } = tubeFrame({ seed: 2, edge_mm: 14, noise_mm: 0.2, lowered_mm: 4, legs: true, holes: 0, posed: false })
  const x = (f: number) => mesh.positions[3 * mesh.indices[3 * f]!]!
  const fore = inAxes(
    without(mesh, (f) => x(f) < -600),
    'scan',
  )
  const aft = inAxes(
    without(mesh, (f) => x(f) > 600),
    'scan',
  )
  const away = random(6).motion(1500)
  const back = invertRigid(away)
  const second = transformMesh(aft, away, 'scan')
  const spots = [
    [0, 900, 0],
    [0, -900, 0],
    [-250, 0, 60],
  ] as const
  const pairs = spots.map((p) => ({
    standing: p,
    moving: [0, 1, 2].map(
      (k) => away[4 * k]! * p[0] + away[4 * k + 1]! * p[1] + away[4 * k + 2]! * p[2] + away[4 * k + 3]!,
    ) as unknown as readonly [number, number, number],
  }))
  const request = {
    files: [file('fore.stl', binaryStl(fore)), file('aft.stl', binaryStl(second))],
    unit: 'mm' as const,
    repairs: [],
    noise_mm: 0.2,
  }
  const laid = drain(scanStep({ ...request, register: [{ how: 'pairs', pairs }] }))
  expect(facetCount(laid.mesh)).toBeGreaterThan(facetCount(mesh))
  const fit = laid.fits![0]!
  expect(fit).toMatchObject({ file: 2, name: 'aft.stl', from: 'pairs', settled: true })
  fit.motion.forEach((v, i) => {
    expect(Math.abs(v - back[i]!)).toBeLessThan(i % 4 === 3 ? 0.2 : 1e-4)
  })
  for (const side of ['min', 'max'] as const)
    bounds(laid.mesh)[side].forEach((v, k) => {
      expect(Math.abs(v - bounds(mesh)[side][k]!)).toBeLessThan(0.3)
    })
  expect(laid.findings.find((f) => f.id === 'scan.fit.2')?.severity).toBe('note')
  expect(laid.findings.some((f) => f.id === 'scan.several-files')).toBe(false)
  const stood = drain(scanStep(request))
  expect(stood.fits).toBeUndefined()
  expect(stood.unit.longest_mm).toBeGreaterThan(laid.unit.longest_mm + 200)
  const two = refusal(() => scanStep({ ...request, register: [{ how: 'pairs', pairs: pairs.slice(1) }] }))
  expect(two.code).toBe('register-unclear')
})
