import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { bounds, facetCount } from '../../../src/core/geometry/mesh'
import { loadMesh } from '../../../src/core/scan'
import { refusal } from '../../support/refusals'
import { box } from '../../support/solids'
import { concat, file, glb, glbOf, gltf, gltfParts } from '../../support/write-mesh-files'

const brick = box([0, 0, 0], [100, 200, 400])
const load = (content: string | Uint8Array) => drain(loadMesh(file('a.glb', content), { axes: 'part' }))
const refused = (content: string | Uint8Array) => refusal(() => loadMesh(file('a.glb', content), { axes: 'part' }))
const round = (v: readonly number[]) => v.map((x) => Math.round(x * 1e3) / 1e3 + 0)

/** The brick under the given nodes. */
const scene = (
  nodes: Record<string, unknown>[],
  roots = [0],
  change: (json: ReturnType<typeof gltfParts>['json']) => void = () => {},
) => {
  const { json, binary } = gltfParts(brick)
  json.nodes = nodes
  json.scenes = [{ nodes: roots }]
  change(json)
  return glbOf(json, binary)
}

describe('glTF', () => {
  it('metres, y up: the file’s (1, 3, −2) is (1000, 2000, 3000) mm here (F26, glTF 2.0.1 section 3.4)', () => {
    const spot = box([1000, 2000, 3000], [1001, 2001, 3001])
    const { json, binary } = gltfParts(spot)
    expect(round([...new Float32Array(binary.buffer, 0, 3)])).toEqual([1, 3, -2])
    const { mesh, unit } = load(glbOf(json, binary))
    expect(unit).toMatchObject({ unit: 'm', from: 'file' })
    expect(round(bounds(mesh).min)).toEqual([1000, 2000, 3000])
    expect(drain(massProperties(mesh)).volume_mm3).toBeGreaterThan(0.98) // det +1: not inside out
  })

  it('places instances through the tree: translation, rotation, scale, matrix, mirror', () => {
    // Two bricks: one moved by 1 m along the file’s x, one below a node that turns 90 degrees about the file’s y (up here).
    const half = Math.SQRT1_2
    const two = load(
      scene(
        [
          { children: [1, 2] },
          { mesh: 0, translation: [1, 0, 0] },
          { rotation: [0, half, 0, half], children: [3] },
          { mesh: 0 },
        ],
        [0],
      ),
    )
    expect(facetCount(two.mesh)).toBe(24)
    expect(round(bounds(two.mesh).min)).toEqual([0, 0, 0].map((v, k) => (k === 0 ? -200 : v)))
    expect(round(bounds(two.mesh).max)).toEqual([1100, 200, 400])
    expect(drain(massProperties(two.mesh)).volume_mm3 / 8e6).toBeCloseTo(2, 5)
    const mirrored = load(scene([{ mesh: 0, scale: [-1, 1, 1] }]))
    expect(drain(massProperties(mirrored.mesh)).volume_mm3 / 8e6).toBeCloseTo(1, 5)
    expect(round(bounds(mirrored.mesh).min)).toEqual([-100, 0, 0])
    const byMatrix = load(scene([{ mesh: 0, matrix: [2, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0.5, 0, 0, 1] }]))
    expect(round(bounds(byMatrix.mesh).min)).toEqual([500, 0, 0])
    expect(round(bounds(byMatrix.mesh).max)).toEqual([700, 200, 400])
  })

  it('reads strips, fans, loose corners, short indices, strides and sparse positions', () => {
    const read = (
      positions: number[],
      primitive: Record<string, unknown>,
      change: (json: Record<string, unknown[]>) => void = () => {},
      extra = new Uint8Array(0),
    ) => {
      const floats = new Uint8Array(Float32Array.from(positions).buffer)
      const binary = concat(floats, extra)
      const json = {
        asset: { version: '2.0' },
        nodes: [{ mesh: 0 }],
        meshes: [{ primitives: [{ attributes: { POSITION: 0 }, ...primitive }] }],
        accessors: [{ bufferView: 0, componentType: 5126, count: positions.length / 3, type: 'VEC3' }] as unknown[],
        bufferViews: [
          { buffer: 0, byteLength: floats.length },
          { buffer: 0, byteOffset: floats.length, byteLength: extra.length },
        ] as unknown[],
        buffers: [{ byteLength: binary.length }],
      }
      change(json as unknown as Record<string, unknown[]>)
      const { mesh } = load(glbOf(json, binary))
      return { facets: facetCount(mesh), ...drain(massProperties(mesh)) }
    }
    const square = [0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0]
    expect(read(square, { mode: 5 })).toMatchObject({ facets: 2 })
    expect(read(square, { mode: 5 }).openArea_mm2 / 1e6).toBeCloseTo(1, 6) // both facets face the same way
    expect(read([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0], { mode: 6 }).openArea_mm2 / 1e6).toBeCloseTo(1, 6)
    expect(read(square.slice(0, 9), {})).toMatchObject({ facets: 1 })
    const shorts = new Uint8Array(Uint16Array.of(0, 1, 2, 2, 1, 3).buffer)
    expect(
      read(
        square,
        { indices: 1 },
        (json) => json['accessors']!.push({ bufferView: 1, componentType: 5123, count: 6, type: 'SCALAR' }),
        shorts,
      ),
    ).toMatchObject({ facets: 2 })
    // Sparse: the fourth corner moved to (2, 2, 0).
    const sparse = concat(new Uint8Array(Uint32Array.of(3).buffer), new Uint8Array(Float32Array.of(2, 2, 0).buffer))
    const moved = read(
      square,
      { mode: 5 },
      (json) => {
        ;(json['accessors']![0] as Record<string, unknown>)['sparse'] = {
          count: 1,
          indices: { bufferView: 1, componentType: 5125 },
          values: { bufferView: 1, byteOffset: 4 },
        }
      },
      sparse,
    )
    expect(moved.area_mm2 / 1e6).toBeCloseTo(2, 6)
  })

  it('takes the shown scene, and all roots where no scene is named', () => {
    expect(facetCount(load(scene([{ mesh: 0 }, { mesh: 0, translation: [5, 0, 0] }], [1])).mesh)).toBe(12)
    const all = scene([{ mesh: 0 }, { children: [2] }, { mesh: 0, translation: [5, 0, 0] }], [0], (json) => {
      delete (json as { scenes?: unknown }).scenes
    })
    expect(facetCount(load(all).mesh)).toBe(24)
  })

  it('refuses nodes in a circle, in two places, or missing', () => {
    expect(refused(scene([{ children: [1] }, { children: [0], mesh: 0 }])).message).toContain('circle')
    expect(refused(scene([{ children: [0], mesh: 0 }])).message).toContain('circle')
    expect(refused(scene([{ children: [1, 1] }, { mesh: 0 }])).message).toContain('two places')
    expect(refused(scene([{ children: [7] }])).message).toContain('not there')
    // A chain of 50,000 nodes is no circle and must not exhaust the stack.
    const chain = Array.from({ length: 50_000 }, (_, i) => (i < 49_999 ? { children: [i + 1] } : { mesh: 0 }))
    expect(facetCount(load(scene(chain)).mesh)).toBe(12)
  })

  it('refuses what it does not read, with a true reason', () => {
    const change = (f: (json: Record<string, never>) => void) => scene([{ mesh: 0 }], [0], f as never)
    const set = (path: string, value: unknown) =>
      change((json) => {
        const keys = path.split('.')
        let at = json as Record<string, unknown>
        for (const k of keys.slice(0, -1)) at = at[k] as Record<string, unknown>
        at[keys.at(-1)!] = value
      })
    expect(refused(set('asset.version', '1.0')).code).toBe('file-unsupported')
    expect(refused(set('extensionsRequired', ['KHR_draco_mesh_compression'])).message).toContain(
      'KHR_draco_mesh_compression',
    )
    expect(refused(set('buffers.0.uri', 'shape.bin')).message).toContain('shape.bin')
    expect(refused(set('accessors.0.count', 1_000_000)).message).toContain('cut off')
    expect(refused(set('accessors.0.count', 900_000_000)).code).toBe('too-large')
    expect(refused(set('accessors.1.type', 'VEC2')).code).toBe('file-damaged')
    expect(refused(set('accessors.0.componentType', 9)).code).toBe('file-damaged')
    expect(refused(set('accessors.0.bufferView', 9)).code).toBe('file-damaged')
    expect(refused(set('nodes.0.scale', [1, 'x', 1])).code).toBe('file-damaged')
    expect(refused(set('meshes.0.primitives.0.mode', 1)).code).toBe('mesh-empty')
    expect(refused(set('accessors.0.bufferView', undefined)).code).toBe('file-damaged')
    expect(refused(gltf(brick).replace('base64,', 'base64,*')).message).toContain('base64')
    expect(refused(glb(brick).slice(0, -40)).message).toContain('cut off')
    const old = glb(brick)
    old[4] = 1
    expect(refused(old).message).toContain('version 1')
  })

  it('bounds what instances can ask for: 2,000 nodes of one mesh of 36,000 points would be 72 million', () => {
    const many = (count: number, nodes: number) => {
      const points = new Float32Array(count * 3)
      for (let i = 0; i < points.length; i++) points[i] = (i * 7) % 11
      const json = {
        asset: { version: '2.0' },
        nodes: Array.from({ length: nodes }, () => ({ mesh: 0 })),
        meshes: [{ primitives: [{ attributes: { POSITION: 0 } }] }],
        accessors: [{ bufferView: 0, componentType: 5126, count, type: 'VEC3' }],
        bufferViews: [{ buffer: 0, byteLength: points.byteLength }],
        buffers: [{ byteLength: points.byteLength }],
      }
      return glbOf(json, new Uint8Array(points.buffer))
    }
    expect(refused(many(36_000, 2_000)).code).toBe('too-large')
  })
})
