import { describe, expect, it } from 'vitest'
import { CLEARANCE_DEFAULTS, type ClearanceRequest, clearanceStep } from '../../../src/core/clearance'
import { drain } from '../../../src/core/geometry/kernel'
import { leastDistance } from '../../../src/core/geometry/least-distance'
import { facetCount, type Mesh, makeMesh, turnedOver, vertexCount } from '../../../src/core/geometry/mesh'
import { Refused } from '../../../src/core/geometry/trouble'
import { box, joined, moved } from '../../support/solids'
import { expectClosed, expectValidSolid } from './shells'
import { ringFrame } from './tube-frame'

const frame = ringFrame({ noise: 0.2, seed: 4 })
const settings = { ...CLEARANCE_DEFAULTS, sample_mm: 12 }
const ask = (more: Partial<ClearanceRequest> = {}) =>
  drain(
    clearanceStep({
      frame,
      rimVertex: new Uint8Array(vertexCount(frame)),
      unseenFacet: null,
      noise_mm: 0.2,
      settings,
      facetGap_mm: null,
      ...more,
    }),
  )
const lifted = (mesh: Mesh, by: number) => moved(mesh, [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, by, 0, 0, 0, 1])
// One way that leans so far that the skirt is dragged through the frame; drawing takes the longest, so it is done once.
const drawn = ask({ approach: [0.98, 0, 0.199] })
/** Both imported, the topside as it was drawn: then nothing has to be drawn. */
const as = (mesh: Mesh<'job'>, name = 'theirs.stl') => ({
  underside: { name, mesh },
  topside: { name: 'top.stl', mesh: drawn.topside.face },
})

describe('an imported underside', () => {
  it.each([
    ['the drawn face, looking up', drawn.underside.face],
    ['the same turned over', turnedOver(drawn.underside.face)],
    ['the drawn solid', drawn.underside.solid],
  ])('%s gets the certificate that the drawn one has', async (_, mesh) => {
    const { certificate, underside, imported, findings, leastConcaveRadius_mm } = ask({ imported: as(mesh) })
    expect(imported).toEqual({ underside: 'theirs.stl', topside: 'top.stl' })
    expect(facetCount(underside.face)).toBe(facetCount(drawn.underside.face))
    expect(certificate.min_mm).toBeCloseTo(drawn.certificate.min_mm, 9)
    expect(certificate.margin_mm).toBeCloseTo(drawn.certificate.margin_mm, 9)
    expect(certificate.verdict).toBe(drawn.certificate.verdict)
    expect(certificate.proven_mm2).toBeCloseTo(drawn.certificate.proven_mm2, 3)
    expect(leastConcaveRadius_mm).toBeNull()
    expect(findings.filter((f) => f.severity === 'hold')).toEqual([])
    expectClosed(underside.solid)
    await expectValidSolid(underside.solid)
  })

  it('set 20 mm lower it fails by what another method measures, and its advice is not about our settings', () => {
    const low = lifted(drawn.underside.face, -20)
    const { certificate, findings } = ask({ imported: as(low) })
    expect(certificate.verdict).toBe('fails')
    expect(certificate.min_mm).toBeCloseTo(drain(leastDistance(low, frame)).distance_mm, 9)
    const hold = findings.find((f) => f.id === 'clearance.fails')!
    expect(hold.severity).toBe('hold')
    expect(hold.message).toContain('theirs.stl')
    expect(findings.filter((f) => f.id === 'clearance.fails')).toHaveLength(1)
  })

  it('set 60 mm higher it runs through the topside that was drawn, and that is a hold', () => {
    const { betweenShells, findings, topside } = ask({
      imported: { ...as(lifted(drawn.underside.face, 60)), topside: null },
    })
    expect(topside.face.id).toBe(drawn.topside.face.id)
    expect(betweenShells!.min_mm).toBe(0)
    expect(findings.find((f) => f.id === 'clearance.between-shells')!.severity).toBe('hold')
    expect(findings.find((f) => f.id === 'clearance.lowering.topside.closing')!.severity).toBe('hold')
  })

  it('with both shells imported nothing is drawn: impossible settings of the drawing do not matter', () => {
    const both = {
      underside: { name: 'u', mesh: drawn.underside.face },
      topside: { name: 't', mesh: drawn.topside.solid },
    }
    const two = joined(frame, moved(frame, [1, 0, 0, 6000, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]))
    const rimVertex = new Uint8Array(vertexCount(two))
    expect(() => ask({ frame: two, rimVertex })).toThrow()
    const { topside, betweenShells, outline, findings } = ask({ frame: two, rimVertex, imported: both })
    expect(facetCount(topside.face)).toBe(facetCount(drawn.topside.face))
    expect(betweenShells!.min_mm).toBeGreaterThan(1.9)
    expect(outline.length).toBeGreaterThan(8)
    expect(findings.filter((f) => f.severity === 'hold')).toEqual([])
  })

  it('a block’s moulded face is its lower side', () => {
    const { underside } = ask({ imported: as(box([0, 0, 900], [10, 10, 910])) })
    expect(facetCount(underside.face)).toBe(2)
  })

  it('a sheet folded on to itself cannot be given a laminate: one sentence that says where', () => {
    const doubled = joined(turnedOver(box([0, 0, 900], [10, 10, 910])), box([0, 0, 900], [10, 10, 910]))
    const folded = makeMesh(
      'job',
      doubled.positions.slice(0, 24),
      doubled.indices.map((v) => v % 8),
    )
    expect(() => ask({ imported: as(folded) })).toThrow(Refused)
  })
})

describe('the way on to the frame', () => {
  it('is free for drawn shells, with room left', () => {
    const down = drawn.lowering.filter((way) => way.along === 'pull')
    for (const way of down) {
      expect(way.free).toBe(true)
      expect(way.before_mm!).toBeLessThan(0)
    }
    expect(down.map((w) => `${w.shell} ${w.on} ${w.along}`)).toEqual(['underside frame pull', 'topside frame pull'])
  })

  it('a hook that stands over the crown after it was drawn stops both, at its height; a leaning way passes it', () => {
    // Imported, since a drawn shell would rise over the hook.
    const over = joined(frame, box([330, -10, 160], [350, 10, 420]))
    const both = {
      underside: { name: 'u', mesh: drawn.underside.face },
      topside: { name: 't', mesh: drawn.topside.face },
    }
    const more = { frame: over, rimVertex: new Uint8Array(vertexCount(over)), imported: both }
    const { lowering, findings } = ask({ ...more, approach: [-0.6, 0, 0.8] })
    const down = lowering.find((w) => w.shell === 'underside' && w.along === 'pull')!
    expect(down.free).toBe(false)
    expect(down.at![2]).toBeCloseTo(420, 3)
    const hold = findings.find((f) => f.id === 'clearance.lowering.underside.pull')!
    expect(hold.severity).toBe('hold')
    expect(hold.where).toEqual(down.at)
    expect(hold.value).toBeCloseTo(down.before_mm!, 12)
    expect(lowering).toHaveLength(5)
  })

  it('an approach that drags the skirt through the frame is a warning with the place', () => {
    const { lowering, findings } = drawn
    const way = lowering.find((w) => w.along === 'approach' && w.shell === 'underside')!
    expect(way.free).toBe(false)
    expect(way.before_mm!).toBeGreaterThan(0)
    expect(findings.find((f) => f.id === 'clearance.lowering.underside.approach')!.severity).toBe('warning')
  })
})
