/** The whole step on two real shells: what it promises together, and how it answers to its settings. */
import { describe, expect, it } from 'vitest'
import { adjacency, isClosed } from '../../../src/core/geometry/adjacency'
import { drain } from '../../../src/core/geometry/kernel'
import { vertexCount } from '../../../src/core/geometry/mesh'
import { jobSchema } from '../../../src/core/job'
import { TOOLING_DEFAULTS, type ToolingResult, type ToolingSettings, toolingStep } from '../../../src/core/tooling'
import { polylineTime_s } from '../../../src/core/tooling/machining-time'
import { smallClearance } from './shells'

const QUICK: ToolingSettings = { ...TOOLING_DEFAULTS, made: 'direct', scallop_mm: 0.4 }

function plan(change: Partial<ToolingSettings> = {}): ToolingResult {
  const made = smallClearance()
  const shells = (['underside', 'topside'] as const).map((role) => ({
    role,
    face: made[role].face,
    edge: made[role].zone.map((z) => (z === 1 ? 1 : 0)),
  }))
  return drain(toolingStep({ shells, settings: { ...QUICK, ...change } }))
}

describe('the tooling step', () => {
  const result = plan()

  it('gives a closed solid, a lay-up, passes, hours as ranges and a field for the map', () => {
    expect(result.tools.map((t) => [t.role, t.made, t.male])).toEqual([
      ['underside', 'direct', true],
      ['topside', 'direct', false],
    ])
    for (const tool of result.tools) {
      expect(isClosed(drain(adjacency(tool.solid.indices, vertexCount(tool.solid))))).toBe(true)
      expect(tool.stock.boards).toBeGreaterThanOrEqual(tool.stock.leastBoards)
      expect(tool.raster.start.length).toBeGreaterThan(50)
      expect(tool.contour.start.length).toBeGreaterThan(5)
      expect(tool.left.meshId).toBe(smallClearance()[tool.role].face.id)
      for (const part of [...tool.time_h, tool.total_h, tool.cost]) {
        expect(part.low).toBeLessThanOrEqual(part.likely)
        expect(part.likely).toBeLessThanOrEqual(part.high)
      }
      const likely = tool.time_h.reduce((sum, p) => sum + p.likely, 0)
      expect(Math.abs(likely - tool.total_h.likely)).toBeLessThan(1e-9)
    }
    expect(result.boards).toBe(result.tools.reduce((n, t) => n + t.stock.boards, 0))
  })

  it('the time of a pass is that of its polyline', () => {
    const [tool] = result.tools
    const { points, start } = tool!.raster
    const motion = { acceleration_mm_s2: QUICK.machine.acceleration_mm_s2 }
    let s = 0
    for (let k = 0; k + 1 < start.length; k++) s += polylineTime_s(points, 100, motion, start[k]!, start[k + 1]!)
    const part = tool!.time_h.find((p) => p.name.includes('side by side'))!
    expect(Math.abs((part.likely * 3600) / (QUICK.timeFactors[1] * s) - 1)).toBeLessThan(1e-9)
  })

  it('datum balls stand on the flange, outside the trim line', () => {
    for (const tool of result.tools)
      for (const mark of tool.marks) {
        let inside = false
        const n = tool.trim.length / 3
        for (let k = 0, j = n - 1; k < n; j = k++) {
          const [xk, yk, xj, yj] = [tool.trim[3 * k]!, tool.trim[3 * k + 1]!, tool.trim[3 * j]!, tool.trim[3 * j + 1]!]
          if (yk > mark.at[1] !== yj > mark.at[1] && mark.at[0] < xk + ((mark.at[1] - yk) / (yj - yk)) * (xj - xk))
            inside = !inside
        }
        expect(inside).toBe(false)
      }
  })

  it('a cutter that is too stout for the folds leaves a hold with place and number', () => {
    const stout = plan({
      cutters: QUICK.cutters.map((c) =>
        c.use === 'finish' ? { ...c, diameter_mm: 80, cornerRadius_mm: 40, holderDiameter_mm: 80 } : c,
      ),
    })
    const found = stout.findings.filter((f) => f.id.startsWith('tooling.reach'))
    expect(found.length).toBeGreaterThan(0)
    for (const f of found) {
      expect(f.where).toHaveLength(3)
      expect(f.value!).toBeGreaterThan(f.limit!)
    }
    expect(found.some((f) => f.severity === 'hold')).toBe(true)
    const worst = stout.tools.flatMap((t) => t.cutters).reduce((m, c) => Math.max(m, c.deepest_mm), 0)
    // A ball of 40 in a fillet of 12 at a right angle, less 3 degrees: about (40 − 12)(√2 − 1) at its middle.
    expect(worst).toBeGreaterThan(5)
    expect(worst).toBeLessThan(28 * (Math.SQRT2 - 1) + 2)
  })

  it('a short tool is told how far it must stick out', () => {
    const short = plan({ cutters: QUICK.cutters.map((c) => ({ ...c, stickOut_mm: 25 })) })
    const found = short.findings.filter((f) => f.id.startsWith('tooling.stick-out'))
    expect(found.length).toBeGreaterThan(0)
    expect(found[0]!.value!).toBeGreaterThan(25)
  })

  it('heavy blanks are warned of; a small machine gets more and lighter pieces', () => {
    const heavy = plan({ machine: { ...QUICK.machine, liftLimit_kg: 5 } })
    expect(heavy.findings.filter((f) => f.id.startsWith('tooling.lift')).length).toBe(2)
    const split = plan({ machine: { ...QUICK.machine, travel_mm: [500, 500, 150], liftLimit_kg: 5 } })
    expect(split.tools[0]!.stock.sections.length).toBeGreaterThan(heavy.tools[0]!.stock.sections.length)
  })

  it('many tops turn the choice to a plug, and the other half of the form is made', () => {
    const many = plan({ made: 'auto', parts: 200 })
    expect(many.choice.best).toBe('plug')
    expect(many.tools.map((t) => [t.made, t.male])).toEqual([
      ['plug', false],
      ['plug', true],
    ])
    expect(plan({ made: 'auto', parts: 1 }).tools[0]!.made).toBe('direct')
  })

  it('same request, same result to the last bit', () => {
    const again = plan()
    expect(again.tools.map((t) => [t.solid.id, t.total_h, t.stock.boards])).toEqual(
      result.tools.map((t) => [t.solid.id, t.total_h, t.stock.boards]),
    )
    expect(
      Buffer.from(again.tools[0]!.raster.points.buffer).equals(Buffer.from(result.tools[0]!.raster.points.buffer)),
    ).toBe(true)
  })

  it('refuses settings that make no sense', () => {
    expect(() => plan({ cutters: QUICK.cutters.filter((c) => c.use === 'finish') })).toThrow(/rough/)
    expect(() => plan({ parts: 0 })).toThrow(/parts/)
    expect(() =>
      plan({ cutters: QUICK.cutters.map((c) => (c.use === 'finish' ? { ...c, cornerRadius_mm: 0 } : c)) }),
    ).toThrow(/flat/)
  })
})

describe('defaults', () => {
  it('of the job file are those of the step', () => {
    const { tooling } = jobSchema.parse({ format: 'mouldwright-job', version: 1, scan: { files: ['scan.stl'] } })
    expect(tooling).toEqual(TOOLING_DEFAULTS)
  })
})
