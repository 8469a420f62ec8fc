/** The order sheet: everything a shop asks for stands on it, and nothing from a name becomes markup. */
import { describe, expect, it } from 'vitest'
import { drain } from '../../../../src/core/geometry/kernel'
import type { Job } from '../../../../src/core/job'
import { jobSchema } from '../../../../src/core/job'
import { LAMINATE } from '../../../../src/core/release/drawing/drawing'
import { toolingPart } from '../../../../src/core/release/tooling-part'
import { toolingOrderHtml } from '../../../../src/core/release/writers/tooling-order'
import { TOOLING_DEFAULTS, toolingStep } from '../../../../src/core/tooling'
import { smallClearance } from '../../tooling/shells'

const made = smallClearance()
const tooling = drain(
  toolingStep({
    shells: (['underside', 'topside'] as const).map((role) => ({
      role,
      face: made[role].face,
      edge: new Uint8Array(made[role].zone.length),
    })),
    settings: { ...TOOLING_DEFAULTS, made: 'direct', scallop_mm: 0.5 },
  }),
)
const job = {
  ...jobSchema.parse({ format: 'mouldwright-job', version: 1, title: 'Top <b>&</b>', scan: { files: ['s.stl'] } }),
  fittings: [],
} as unknown as Job

describe('the order', () => {
  const html = toolingOrderHtml({
    job,
    tooling,
    hash: 'ab'.repeat(32),
    program: 'test 1',
    files: [{ path: 'tool-underside.stl', sha256: 'cd'.repeat(32) }],
  })

  it('names tools, boards, cutters, hours and hashes', () => {
    expect(html).toContain('Mould of the underside, male')
    expect(html).toContain('Mould of the topside, female')
    for (const tool of tooling.tools) {
      expect(html).toContain(`${tool.stock.boards} boards`)
      for (const cutter of tool.cutters) expect(html).toContain(cutter.name)
      for (const mark of tool.marks) expect(html).toContain(mark.name)
      for (const part of tool.time_h) expect(html).toContain(part.name)
    }
    expect(html).toContain('cd'.repeat(32))
    expect(html).toContain('machine programmer checks all motion')
  })

  it('draws every layer with all its pieces', () => {
    const pieces = tooling.tools.flatMap((t) => t.stock.layers).reduce((n, l) => n + l.pieces.length, 0)
    expect(html.match(new RegExp(`fill="${LAMINATE}"`, 'g'))).toHaveLength(pieces)
    expect(html.match(/>layer [0-9]+, z /g)).toHaveLength(tooling.tools.reduce((n, t) => n + t.stock.layers.length, 0))
  })

  it('escapes names and holds no number that is none', () => {
    expect(html).toContain('Top &lt;b&gt;&amp;&lt;/b&gt;')
    expect(html).not.toMatch(/NaN|Infinity|undefined/)
    expect(html).not.toContain('<script')
  })

  it('the report’s part has no arrays of geometry and no number that is none', () => {
    const part = toolingPart(tooling)
    expect(JSON.stringify(part).length).toBeLessThan(20_000)
    const walk = (value: unknown): void => {
      if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true)
      else if (typeof value === 'object' && value !== null) {
        expect(ArrayBuffer.isView(value)).toBe(false)
        Object.values(value).forEach(walk)
      }
    }
    walk(part)
    expect(toolingPart(undefined)).toBeNull()
  })
})
