import { validateBytes } from 'gltf-validator'
import { GLTFLoader } from 'three/examples/jsm/loaders/GLTFLoader.js'
import { beforeAll, expect, test } from 'vitest'
import { drain } from '../../../../src/core/geometry/kernel'
import { massProperties } from '../../../../src/core/geometry/measure'
import { bounds, makeMesh } from '../../../../src/core/geometry/mesh'
import type { PackPart } from '../../../../src/core/release/parts'
import { writeGlb } from '../../../../src/core/release/writers/glb'
import { loadMesh } from '../../../../src/core/scan'
import { box, openHemisphere } from '../../../support/solids'

const WORDS = { title: 'Trial top', program: 'Mouldwright 9.9' }
const part = (name: string, mesh: PackPart['mesh'], closed = true): PackPart => ({
  name,
  kind: 'fitting',
  colour: [255, 0, 51],
  mesh,
  closed,
})
const brick = part('brick', box([1000, 2000, 3000], [1010, 2020, 3040]))
const bowl = part('bowl', openHemisphere(30, 24), false)
const write = (...parts: PackPart[]) => drain(writeGlb(parts, WORDS))

beforeAll(() => {
  // The foreign reader asks for the page's `self`.
  Object.assign(globalThis, { self: globalThis })
})

const scene = (bytes: Uint8Array) => new GLTFLoader().parseAsync(Uint8Array.from(bytes).buffer, '')

test('lays out header and chunks as the format asks: lengths, types, multiples of four', () => {
  const bytes = write(brick, bowl)
  const view = new DataView(bytes.buffer)
  expect(view.getUint32(0, true)).toBe(0x46546c67)
  expect(view.getUint32(4, true)).toBe(2)
  expect(view.getUint32(8, true)).toBe(bytes.length)
  const json = view.getUint32(12, true)
  expect(json % 4).toBe(0)
  expect(20 + json + 8 + view.getUint32(20 + json, true)).toBe(bytes.length)
})

test('passes the public validator of glTF 2.0 without error or warning', async () => {
  const { issues } = await validateBytes(write(brick, bowl))
  expect(issues.messages).toEqual([])
  expect(issues.numErrors).toBe(0)
})

test('stands in metres with y up: (1000, 2000, 3000) mm becomes (1, 3, −2) (F26, glTF 2.0.1 section 3.4)', async () => {
  const read = await scene(write(brick))
  const mesh = read.scene.children[0] as unknown as {
    name: string
    geometry: { attributes: { position: { array: Float32Array } }; boundingBox: unknown; computeBoundingBox(): void }
    material: { color: { r: number; g: number; b: number }; name: string }
  }
  expect(mesh.name).toBe('brick')
  expect(mesh.material.color.r).toBeCloseTo(1, 3)
  expect(mesh.material.color.g).toBe(0)
  expect(mesh.material.color.b).toBeCloseTo(0.04, 3)
  const xyz = mesh.geometry.attributes.position.array
  const least = [0, 1, 2].map((k) => Math.min(...[...xyz].filter((_, i) => i % 3 === k)))
  const most = [0, 1, 2].map((k) => Math.max(...[...xyz].filter((_, i) => i % 3 === k)))
  expect(least).toEqual([1, 3, -2.02].map(Math.fround))
  expect(most).toEqual([1.01, 3.04, -2].map(Math.fround))
})

test('is read back by our own reader with the same box and a positive volume: a turn, not a mirror', () => {
  const { mesh } = drain(loadMesh({ name: 'a.glb', bytes: write(brick) }, { axes: 'part' }))
  expect(drain(massProperties(mesh)).volume_mm3).toBeCloseTo(8000, 0)
  const { min, max } = bounds(mesh)
  for (const [k, v] of [1000, 2000, 3000].entries()) expect(min[k]).toBeCloseTo(v, 3)
  for (const [k, v] of [1010, 2020, 3040].entries()) expect(max[k]).toBeCloseTo(v, 3)
})

test('keeps parts apart, draws open ones from both sides, leaves out what has no area', async () => {
  const empty = part('nothing', makeMesh('job', Float32Array.of(0, 0, 0), Uint32Array.of(0, 0, 0)))
  const read = await scene(write(brick, empty, bowl))
  expect(read.scene.children.map((c) => c.name)).toEqual(['brick', 'bowl'])
  const sides = read.scene.children.map((c) => (c as unknown as { material: { side: number } }).material.side)
  expect(sides).toEqual([0, 2])
})

test('a pack without parts is still a whole file', async () => {
  expect((await scene(write())).scene.children).toHaveLength(0)
})

test('the same parts give the same bytes', () => {
  expect(write(brick, bowl)).toEqual(write(brick, bowl))
})
