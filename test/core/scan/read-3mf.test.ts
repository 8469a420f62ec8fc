import { zipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { bounds, facetCount } from '../../../src/core/geometry/mesh'
import { loadMesh } from '../../../src/core/scan'
import { unzipped, zipEntries } from '../../../src/core/scan/zip-entries'
import { refusal } from '../../support/refusals'
import { box } from '../../support/solids'
import { concat, file, meshXml, modelXml, package3mf, threeMf } from '../../support/write-mesh-files'

const brick = box([0, 0, 0], [10, 20, 40])
const load = (bytes: Uint8Array) => drain(loadMesh(file('a.3mf', bytes), { axes: 'part' }))
const refused = (bytes: Uint8Array) => refusal(() => loadMesh(file('a.3mf', bytes), { axes: 'part' }))
const object = (id: number, content = meshXml(brick)) => `<object id="${id}" type="model">${content}</object>`
const components = (...c: string[]) => `<components>${c.join('')}</components>`

describe('3MF', () => {
  it('knows its six units, millimetre if none is stated (F24, 3MF Core 1.4.0)', () => {
    const lengths = { micron: 0.001, millimeter: 1, centimeter: 10, inch: 25.4, foot: 304.8, meter: 1000 }
    for (const [unit, mm] of Object.entries(lengths)) {
      const { mesh, unit: reading } = load(threeMf(brick, `unit="${unit}"`))
      expect(reading.from).toBe('file')
      expect(bounds(mesh).max[2] / (40 * mm)).toBeCloseTo(1, 6)
    }
    expect(bounds(load(threeMf(brick)).mesh).max).toEqual([10, 20, 40])
    expect(refused(threeMf(brick, 'unit="league"')).message).toContain('league')
  })

  it('places by the build and by components, rows of three, transforms one in the other', () => {
    const model = modelXml(
      object(1) +
        `<object id="2">${components('<component objectid="1"/>', '<component objectid="1" transform="1 0 0 0 1 0 0 0 1 100 0 0"/>')}</object>`,
      '<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 5 6 7"/>',
    )
    const { mesh } = load(package3mf(model))
    expect(facetCount(mesh)).toBe(24)
    // A quarter turn about z takes (x, y) to (−y, x), then 5, 6, 7 are added.
    expect(bounds(mesh).min).toEqual([-20 + 5, 6, 7])
    expect(bounds(mesh).max).toEqual([5, 110 + 6, 47])
    expect(drain(massProperties(mesh)).volume_mm3).toBeCloseTo(16_000, 3)
  })

  it('keeps the volume positive under a mirroring transform (F25)', () => {
    const { mesh } = load(package3mf(modelXml(object(1), '<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>')))
    expect(drain(massProperties(mesh)).volume_mm3).toBeCloseTo(8000, 3)
    expect(bounds(mesh).min[0]).toBe(-10)
  })

  it('follows components into other model parts', () => {
    const model = modelXml(
      `<object id="9">${components('<component p:path="/3D/Objects/part.model" objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 50"/>')}</object>`,
      '<item objectid="9"/>',
      'xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06" requiredextensions="p"',
    )
    const { mesh } = load(package3mf(model, { '3D/Objects/part.model': modelXml(object(1), '') }))
    expect(bounds(mesh).min[2]).toBe(50)
  })

  it('reads stored entries, prefixes, single quotes, comments, entities and character data', () => {
    const odd = `<?xml version='1.0'?><m:model xmlns:m='x' ><m:metadata name='a&amp;b'><![CDATA[ <vertex x="9" y="9" z="9"/> ]]></m:metadata><m:resources>
      <!-- <vertex x="8" y="8" z="8"/> --><m:object id='&#x31;' ></m:object>${object(1).replace(/<(\/?)(\w)/g, '<$1m:$2')}</m:resources><m:build><m:item objectid='1'/></m:build></m:model>`
    expect(facetCount(load(package3mf(odd, {}, 0)).mesh)).toBe(12)
  })

  it('refuses archives without a model, and archives cut off', () => {
    expect(refused(zipSync({ 'notes.txt': new Uint8Array(10) })).message).toContain('zip archive without a 3MF model')
    expect(refused(threeMf(brick).slice(0, 300)).message).toContain('table of contents')
    const locked = threeMf(brick)
    const at = Buffer.from(locked.buffer).indexOf('PK\u0001\u0002')
    locked[at + 8]! |= 1
    expect(refused(locked).message).toContain('password')
  })

  it('refuses broken XML with the line, objects that are missing, and circles', () => {
    const good = modelXml(object(1), '<item objectid="1"/>')
    for (const [from, to, word] of [
      ['x="0"', 'x="O"', 'number should stand'],
      ['x="0"', '', 'without "x"'],
      ['x="0"', 'x="1,5"', 'decimal comma'],
      ['x="0"', 'x=0', 'quotes'],
      ['</mesh>', '', 'cut off'],
      ['</build></model>', '</build></model></model>', 'never opened'],
      ['<item objectid="1"/>', '<item objectid="3"/>', 'not there'],
      ['<item objectid="1"/>', '<item objectid="1" transform="1 0 0"/>', '12 numbers'],
      ['<resources>', '<!DOCTYPE x [<!ENTITY a "aaaa">]><resources>', 'document type'],
    ] as const) {
      const r = refused(package3mf(good.replace(from, to)))
      expect(r.message).toContain(word)
    }
    const circle = modelXml(
      `<object id="1">${components('<component objectid="2"/>')}</object><object id="2">${components('<component objectid="1"/>')}</object>`,
      '<item objectid="1"/>',
    )
    expect(refused(package3mf(circle)).message).toContain('contain themselves')
  })

  it('refuses bombs: ten of ten of ten …, nesting without end, and an entry that unpacks without end', () => {
    const level = (id: number) =>
      `<object id="${id}">${components(...Array(10).fill(`<component objectid="${id - 1}"/>`))}</object>`
    const laughs = modelXml(
      object(1) + Array.from({ length: 12 }, (_, i) => level(i + 2)).join(''),
      '<item objectid="13"/>',
    )
    expect(refused(package3mf(laughs)).code).toBe('too-large')
    expect(refused(package3mf(`<model>${'<a>'.repeat(5000)}`)).message).toContain('1000 deep')
    // 64 MB of spaces and no model in them: within the budget, and nothing to show.
    const bomb = zipSync({ '3D/3dmodel.model': [new Uint8Array(64_000_000).fill(32), { level: 9 }] })
    expect(bomb.length).toBeLessThan(100_000)
    expect(refused(bomb).code).toBe('mesh-empty')
    // The budget itself, with a smaller one: 64 MB out of 60 kB, stopped within one portion.
    const archive = { name: 'bomb.3mf', bytes: bomb }
    const entry = zipEntries(archive)[0]!
    expect(refusal(() => unzipped(archive, entry, 1_000_000)).code).toBe('too-large')
    expect(refusal(() => unzipped(archive, { ...entry, size: 5 }, 1_000_000)).code).toBe('too-large')
  })

  it('counts triangles with vertices that do not exist, and never lets them reach into another instance', () => {
    const bad = object(1).replace(/v3="\d+"/, 'v3="8"')
    const { rejected } = load(
      package3mf(modelXml(bad, '<item objectid="1"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 99 0 0"/>')),
    )
    expect(rejected.badIndex).toBe(2)
  })

  it('a file of bytes behind and before the archive is still read', () => {
    const bytes = threeMf(brick)
    expect(facetCount(load(concat(bytes, new Uint8Array(3))).mesh)).toBe(12)
  })
})
