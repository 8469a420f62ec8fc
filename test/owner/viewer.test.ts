import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { drain } from '../../src/core/geometry/kernel'
import { bounds, facetCount } from '../../src/core/geometry/mesh'
import { thinned } from '../../src/core/geometry/thin-mesh'
import { base64 } from '../../src/core/release/owner/base64'
import { unpack } from '../../src/owner/data'
import { shownTo } from '../../src/owner/lights'
import { trialPack } from '../press/printed-trial'
import { buildViewer, VIEWER } from '../support/build-viewer'
import { box, icosphere } from '../support/solids'

describe('the owner’s copy', () => {
  it('has the viewer that its source says (npm run owner:make renews it)', async () => {
    expect(readFileSync(VIEWER, 'utf8')).toBe(await buildViewer())
  })

  it('carries every part to within a 65,535th of its box, names as text, and asks for nothing from outside', async () => {
    const { files } = await trialPack()
    const html = new TextDecoder().decode(files.find((f) => f.path === 'owners-copy.html')!.bytes)
    expect(html.length).toBeLessThan(8_000_000)
    expect(html).not.toMatch(/(src|href)="https?:|url\(http|import\(/)
    const data = JSON.parse(/id="data">(.*?)<\/script>/s.exec(html)![1]!)
    expect(data.fittings[0]).toMatchObject({ id: 'lamp', name: 'lamp 灯火' })
    const lamp = unpack(data.parts.find((p: { fitting: string }) => p.fitting === 'lamp'))
    const { min, max } = bounds(box([-20, -20, 60], [20, 20, 120]))
    for (let i = 0; i < lamp.positions.length; i++) {
      const v = lamp.positions[i]!
      expect(Math.min(Math.abs(v - min[i % 3]!), Math.abs(v - max[i % 3]!))).toBeLessThan(0.002)
    }
    expect(lamp.indices).toHaveLength(36)
  })

  it('spells bytes as the standard does', () => {
    for (let n = 0; n < 7; n++) {
      const bytes = Uint8Array.from({ length: n }, (_, i) => 251 - 40 * i)
      expect(base64(bytes)).toBe(Buffer.from(bytes).toString('base64'))
    }
  })

  it('thins a mesh to what is asked and keeps its box', () => {
    const ball = icosphere(500, 5)
    const fewer = drain(thinned(ball, 4000))
    expect(facetCount(fewer)).toBeLessThanOrEqual(4000)
    expect(facetCount(fewer)).toBeGreaterThan(800)
    for (let k = 0; k < 3; k++) expect(bounds(fewer).max[k]).toBeGreaterThan(460)
    expect(drain(thinned(ball, 1e9))).toBe(ball)
  })

  it('shows lights in their arcs (COLREGS Rule 21): port red to port, starboard green to starboard, stern aft', () => {
    const at = [0, 0, 0] as const
    const from = (kind: string, x: number, y: number) => shownTo({ kind, forward_deg: 0 }, at, [x, y, 0])
    expect(from('port', 10, 1)?.[0]).toBe(1)
    expect(from('port', 10, -1)).toBeNull()
    expect(from('starboard', 10, -1)?.[1]).toBeGreaterThan(0.9)
    // 112.5° is 22.5° abaft the beam.
    const abaft = (deg: number): [number, number] => [Math.cos((deg * Math.PI) / 180), -Math.sin((deg * Math.PI) / 180)]
    expect(from('starboard', ...abaft(112))).not.toBeNull()
    expect(from('starboard', ...abaft(113))).toBeNull()
    expect(from('stern', ...abaft(113))).not.toBeNull()
    expect(from('stern', ...abaft(112))).toBeNull()
    expect(from('masthead', ...abaft(180))).toBeNull()
    expect(from('all-round', ...abaft(180))).not.toBeNull()
  })
})
