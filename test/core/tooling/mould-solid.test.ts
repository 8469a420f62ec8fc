/**
 * The tool as a solid: closed, oriented, of the volume a solid library gives it; the part lies in it without cutting it and
 * leaves along the pull without meeting anything. The library (manifold-3d) is used here only.
 */
import initManifold from 'manifold-3d'
import { beforeAll, describe, expect, it } from 'vitest'
import { undercut } from '../../../src/core/analysis'
import { adjacency, isClosed } from '../../../src/core/geometry/adjacency'
import { drain } from '../../../src/core/geometry/kernel'
import { massProperties } from '../../../src/core/geometry/measure'
import { type Mesh, makeMesh, vertexCount } from '../../../src/core/geometry/mesh'
import { extendFace } from '../../../src/core/tooling/extend-face'
import { mouldSolid } from '../../../src/core/tooling/mould-solid'
import { polygonArea_mm2, sliceSolid } from '../../../src/core/tooling/slice-solid'
import { toolFace, toToolAxes } from '../../../src/core/tooling/tool-face'
import { turned } from '../../support/solids'
import { shellOf } from './shells'

let wasm: Awaited<ReturnType<typeof initManifold>>
beforeAll(async () => {
  wasm = await initManifold()
  wasm.setup()
})

const solidOf = (mesh: Mesh) => {
  const body = new wasm.Mesh({ numProp: 3, vertProperties: mesh.positions, triVerts: mesh.indices })
  body.merge()
  return new wasm.Manifold(body)
}
const volume = (mesh: Mesh) => drain(massProperties(mesh)).volume_mm3
const closed = (mesh: Mesh) => isClosed(drain(adjacency(mesh.indices, vertexCount(mesh))))

const EXTEND = { beyond_mm: 12, foldRadius_mm: 12, flange_mm: 100 }

const MADE = [
  ['underside', 'direct'],
  ['topside', 'direct'],
  ['underside', 'plug'],
  ['topside', 'plug'],
] as const

describe.each(MADE)('tool of the %s, %s', (role, made) => {
  const { face, part } = shellOf(role)
  const matrix = toToolAxes(role, made, 1)
  const tool = drain(toolFace(face, matrix))
  const extended = drain(extendFace(tool, EXTEND))

  it('is closed, outward and has its volume, as a block and as a shell', () => {
    for (const wall_mm of [null, 50]) {
      const made = drain(mouldSolid(extended, { base_mm: 90, sideDraft_deg: 3, wall_mm }))
      expect(closed(made.solid)).toBe(true)
      expect(made.volume_mm3).toBeGreaterThan(0)
      const body = solidOf(made.solid)
      expect(Math.abs(body.volume() / made.volume_mm3 - 1)).toBeLessThan(1e-5)
      body.delete()
      if (wall_mm === null) expect(made.hollow).toBeNull()
      else {
        expect(closed(made.hollow!)).toBe(true)
        expect(volume(made.hollow!)).toBeGreaterThan(0)
        expect(Math.abs((made.volume_mm3 + volume(made.hollow!)) / volume(made.block) - 1)).toBeLessThan(1e-5)
        // Nowhere thinner than the wall: the hollow grown by it stays within the block, by the library's own distance.
        const [block, hollow] = [solidOf(made.block), solidOf(made.hollow!)]
        const outside = hollow.subtract(block)
        expect(outside.volume()).toBeLessThan(1)
        for (const m of [block, hollow, outside]) m.delete()
      }
    }
  })

  it('has no undercut to the spindle', () => {
    const { summary } = drain(undercut(extended.mesh, [0, 0, 1]))
    expect(summary.area_mm2).toBe(0)
  })

  it('sections have the areas of the solid: their integral is the volume', () => {
    const { solid, volume_mm3 } = drain(mouldSolid(extended, { base_mm: 60, sideDraft_deg: 3, wall_mm: null }))
    let [low, high] = [Infinity, -Infinity]
    for (let v = 2; v < solid.positions.length; v += 3) {
      low = Math.min(low, solid.positions[v]!)
      high = Math.max(high, solid.positions[v]!)
    }
    const layers = 60
    let sum = 0
    for (let k = 0; k < layers; k++)
      for (const polygon of sliceSolid(solid, low + ((high - low) * (k + 0.5)) / layers))
        sum += (polygonArea_mm2(polygon) * (high - low)) / layers
    expect(Math.abs(sum / volume_mm3 - 1)).toBeLessThan(0.02)
  })

  if (made === 'direct')
    it('the laminated part lies on it without cutting in, and leaves along the pull', () => {
      const { solid } = drain(mouldSolid(extended, { base_mm: 60, sideDraft_deg: 3, wall_mm: null }))
      const placed = drain(toolFace(part, matrix))
      const inTool = volume(placed) > 0 ? placed : turned(placed)
      const [mould, laminate] = [solidOf(solid), solidOf(makeMesh('job', inTool.positions, inTool.indices))]
      const together = mould.add(laminate)
      const want = mould.volume() + laminate.volume()
      expect(Math.abs(together.volume() / want - 1)).toBeLessThan(1e-6)
      const meets = mould.intersect(laminate)
      expect(meets.volume() / laminate.volume()).toBeLessThan(1e-5) // chords of two roundings of one face
      for (const lift of [0.5, 5, 40]) {
        const away = laminate.translate([0, 0, lift])
        const hit = mould.intersect(away)
        expect(hit.volume()).toBe(0)
        away.delete()
        hit.delete()
      }
      for (const m of [mould, laminate, together, meets]) m.delete()
    })
})

describe('shrinkage', () => {
  it('makes the tool larger by the factor, in all directions', () => {
    const { face } = shellOf('underside')
    const plain = drain(toolFace(face, toToolAxes('underside', 'direct', 1)))
    const large = drain(toolFace(face, toToolAxes('underside', 'direct', 1.004)))
    for (let v = 0; v < plain.positions.length; v += 97)
      expect(Math.abs(large.positions[v]! - 1.004 * plain.positions[v]!)).toBeLessThan(1e-4)
  })
})

describe('faces that no tool can be made of', () => {
  it('says so for a closed mesh, for holes and for pieces', () => {
    const { face, part } = shellOf('underside')
    const tool = drain(toolFace(face, toToolAxes('underside', 'direct', 1)))
    expect(() => drain(extendFace(drain(toolFace(part, toToolAxes('underside', 'direct', 1))), EXTEND))).toThrow(
      /closed/,
    )
    const holed = makeMesh('part', tool.positions, tool.indices.slice(30))
    expect(() => drain(extendFace(holed, EXTEND))).toThrow(/holes|border/)
  })
})
