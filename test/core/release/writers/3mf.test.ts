import { strFromU8, unzipSync } from 'fflate'
import { DOMParser } from 'linkedom'
import { ThreeMFLoader } from 'three/examples/jsm/loaders/3MFLoader.js'
import { expect, test, vi } from 'vitest'
import { drain } from '../../../../src/core/geometry/kernel'
import { massProperties } from '../../../../src/core/geometry/measure'
import { makeMesh } from '../../../../src/core/geometry/mesh'
import type { PackPart } from '../../../../src/core/release/parts'
import { write3mf } from '../../../../src/core/release/writers/3mf'
import { loadMesh } from '../../../../src/core/scan'
import { read3mf } from '../../../../src/core/scan/read-3mf'
import { box, icosphere, openHemisphere } from '../../../support/solids'

const WORDS = { title: 'Trial & "top"', program: 'Mouldwright 9.9' }
const part = (name: string, mesh: PackPart['mesh'], closed: boolean): PackPart => ({
  name,
  kind: 'shell',
  colour: [233, 226, 6],
  mesh,
  closed,
})
const brick = part('brick', box([0, 0, 0], [10, 20, 40]), true)
const bowl = part('bowl <open>', openHemisphere(30, 24), false)
const write = (...parts: PackPart[]) => drain(write3mf(parts, WORDS))
const model = (bytes: Uint8Array) => strFromU8(unzipSync(bytes)['3D/3dmodel.model']!)

test('states millimetres, names, colours and which object may be open (3MF Core 1.4.0)', () => {
  const bytes = write(brick, bowl)
  expect(Object.keys(unzipSync(bytes))).toEqual(['[Content_Types].xml', '_rels/.rels', '3D/3dmodel.model'])
  const xml = model(bytes)
  expect(xml).toContain('<model unit="millimeter"')
  expect(xml).toContain('<metadata name="Title">Trial &amp; &quot;top&quot;</metadata>')
  expect(xml).toContain('<base name="bowl &lt;open&gt;" displaycolor="#E9E206FF"/>')
  expect(xml).toContain('<object id="2" name="brick" type="model" pid="1" pindex="0">')
  expect(xml).toContain('<object id="3" name="bowl &lt;open&gt;" type="surface" pid="1" pindex="1">')
  expect(xml.match(/<item /g)).toHaveLength(2)
})

test('is read back with the same corners in the same order, far origin included', () => {
  const ball = icosphere(0.123456, 2)
  const far = makeMesh('job', ball.positions, ball.indices, [4_500_000.25, -1, 0])
  const raw = drain(read3mf({ name: 'a.3mf', bytes: write(part('far', far, true)) }))
  expect(raw.unit).toBe('mm')
  expect(Array.from(raw.indices!)).toEqual(Array.from(far.indices))
  for (let i = 0; i < far.positions.length; i++) {
    const true_mm = far.positions[i]! + far.origin[i % 3]!
    expect(Math.abs(raw.points[i]! - true_mm)).toBeLessThanOrEqual(5e-9 * Math.max(1, Math.abs(true_mm)))
    if (far.origin[i % 3] === 0) expect(Math.fround(raw.points[i]!)).toBe(far.positions[i])
  }
})

test('keeps the volume positive, hence the facets turned outwards (F25)', () => {
  const { mesh, unit } = drain(loadMesh({ name: 'a.3mf', bytes: write(brick) }, { axes: 'part' }))
  expect(unit).toMatchObject({ unit: 'mm', from: 'file' })
  expect(drain(massProperties(mesh)).volume_mm3).toBeCloseTo(8000, 6)
})

test('leaves out a facet that names a vertex twice, which the format forbids', () => {
  const odd = makeMesh('job', Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, -0), Uint32Array.of(0, 1, 2, 0, 0, 1))
  const xml = model(write(part('odd', odd, false)))
  expect(xml.match(/<triangle /g)).toHaveLength(1)
  expect(xml).not.toContain('-0"')
})

test('the same parts give the same bytes', () => {
  expect(write(brick, bowl)).toEqual(write(brick, bowl))
})

test('a foreign reader finds the same bodies: names, colours, corners in millimetres, in the order that turns facets outwards', () => {
  // The reader asks for the page's XML parser.
  vi.stubGlobal('DOMParser', DOMParser)
  try {
    const read = new ThreeMFLoader().parse(Uint8Array.from(write(brick, { ...bowl, name: 'bowl' })).buffer)
    const bodies: Foreign[] = []
    read.traverse((o) => {
      if ('geometry' in o) bodies.push(o as unknown as Foreign)
    })
    expect(bodies).toHaveLength(2)
    const [first, second] = bodies
    expect([first!.parent.name, second!.parent.name]).toEqual(['brick', 'bowl'])
    expect(first!.material.color.getHexString()).toBe('e9e206')
    // It draws facet by facet: three corners each, none shared.
    for (const [k, { mesh }] of [brick, bowl].entries()) {
      const { array } = bodies[k]!.geometry.attributes.position
      expect(array.length).toBe(3 * mesh.indices.length)
      for (let i = 0; i < array.length; i++) {
        const axis = i % 3
        expect(array[i]).toBeCloseTo(mesh.positions[3 * mesh.indices[(i - axis) / 3]! + axis]! + mesh.origin[axis]!, 5)
      }
    }
  } finally {
    vi.unstubAllGlobals()
  }
})

interface Foreign {
  readonly parent: { readonly name: string }
  readonly geometry: { readonly attributes: { readonly position: { readonly array: Float32Array } } }
  readonly material: { readonly color: { getHexString(): string } }
}
