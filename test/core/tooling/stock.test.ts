/** Boards: every layer covers its slice, nothing is larger than board or machine, nothing is sawn twice. */
import { describe, expect, it } from 'vitest'
import { drain } from '../../../src/core/geometry/kernel'
import { coverRegion } from '../../../src/core/tooling/cover-region'
import { extendFace } from '../../../src/core/tooling/extend-face'
import { mouldSolid } from '../../../src/core/tooling/mould-solid'
import { packBoards } from '../../../src/core/tooling/pack-boards'
import { type StockPlan, stockPlan } from '../../../src/core/tooling/stock'
import { toolFace, toToolAxes } from '../../../src/core/tooling/tool-face'
import { random } from '../../support/random'
import { shellOf } from './shells'

const BOARD = { length_mm: 1000, width_mm: 500, thickness_mm: 50, density_kg_m3: 650, saw_mm: 4 }

const inRect = (r: { x0: number; y0: number; x1: number; y1: number }, x: number, y: number) =>
  x >= r.x0 - 1e-3 && x <= r.x1 + 1e-3 && y >= r.y0 - 1e-3 && y <= r.y1 + 1e-3

describe('sawing', () => {
  it('lays pieces beside each other, saw cut between, none twice, none over the edge', () => {
    const rand = random(5)
    const pieces = Array.from({ length: 120 }, () => ({
      length_mm: rand.between(40, 990),
      width_mm: rand.between(30, 490),
    }))
    const { placed, boards } = packBoards(pieces, BOARD, 4)
    const rects = placed.map((p, i) => {
      const { length_mm: l, width_mm: w } = pieces[i]!
      return { ...p, w: p.turned ? w : l, h: p.turned ? l : w }
    })
    for (let i = 0; i < rects.length; i++) {
      const a = rects[i]!
      expect(a.x_mm + a.w).toBeLessThanOrEqual(BOARD.length_mm + 1e-6)
      expect(a.y_mm + a.h).toBeLessThanOrEqual(BOARD.width_mm + 1e-6)
      for (let j = 0; j < i; j++) {
        const b = rects[j]!
        if (a.board !== b.board) continue
        const apart =
          a.x_mm >= b.x_mm + b.w + 3.99 ||
          b.x_mm >= a.x_mm + a.w + 3.99 ||
          a.y_mm >= b.y_mm + b.h + 3.99 ||
          b.y_mm >= a.y_mm + a.h + 3.99
        expect(apart).toBe(true)
      }
    }
    const volume = pieces.reduce((s, p) => s + p.length_mm * p.width_mm, 0)
    expect(boards).toBeGreaterThanOrEqual(volume / (BOARD.length_mm * BOARD.width_mm))
    expect(boards).toBeLessThan((1.35 * volume) / (BOARD.length_mm * BOARD.width_mm))
  })

  it('fills a whole floor of boards without waste', () => {
    const eight = Array.from({ length: 8 }, () => ({ length_mm: 1000, width_mm: 500 }))
    expect(packBoards(eight, BOARD, 4).boards).toBe(8)
    expect(
      packBoards(
        Array.from({ length: 8 }, () => ({ length_mm: 498, width_mm: 248 })),
        BOARD,
        4,
      ).boards,
    ).toBe(2)
  })

  it('covers a ring without its hole', () => {
    const circle = (r: number, turn: number) =>
      Array.from({ length: 90 }, (_, k) => {
        const a = (turn * 2 * Math.PI * k) / 90
        return { x: r * Math.cos(a), y: r * Math.sin(a) }
      })
    const rects = coverRegion([circle(900, 1), circle(700, -1)], { ...BOARD, along: 'x', band_mm: 20, join_mm: 60 })
    let covered = 0
    for (const r of rects) covered += (r.x1 - r.x0) * (r.y1 - r.y0)
    const rand = random(3)
    for (let k = 0; k < 4000; k++) {
      const a = rand.between(0, 2 * Math.PI)
      const r = rand.between(701, 897)
      expect(rects.some((q) => inRect(q, r * Math.cos(a), r * Math.sin(a)))).toBe(true)
    }
    expect(covered).toBeLessThan(0.85 * Math.PI * 900 * 900)
    expect(rects.length).toBeGreaterThan(4)
  })
})

describe.each([
  ['underside', null],
  ['underside', 60],
  ['topside', 60],
] as const)('lay-up of the %s, wall %s', (role, wall_mm) => {
  const face = drain(toolFace(shellOf(role).face, toToolAxes(role, 'direct', 1)))
  const extended = drain(extendFace(face, { beyond_mm: 12, foldRadius_mm: 12, flange_mm: 100 }))
  const made = drain(mouldSolid(extended, { base_mm: 80, sideDraft_deg: 3, wall_mm }))
  const plan = (travel: readonly [number, number, number]): StockPlan =>
    drain(stockPlan({ made, board: BOARD, allowance_mm: 5, travel_mm: travel, edge: face }))

  it('covers every facet of the tool with the allowance to spare', () => {
    const { layers } = plan([5000, 3000, 1000])
    const { positions: p } = made.solid
    const rand = random(9)
    for (let k = 0; k < 3000; k++) {
      const v = 3 * rand.below(p.length / 3)
      const [x, y, z] = [p[v]!, p[v + 1]!, p[v + 2]!]
      const layer = layers.find((l) => z >= l.z0_mm - 1e-3 && z < l.z1_mm)!
      for (let a = 0; a < 8; a++) {
        // 5 mm asked; round corners are polygons to 0.05 mm.
        const [dx, dy] = [4.9 * Math.cos((a * Math.PI) / 4), 4.9 * Math.sin((a * Math.PI) / 4)]
        expect(layer.pieces.some((r) => inRect(r, x + dx, y + dy))).toBe(true)
      }
    }
  })

  it('splits for the machine and the boards, and its volumes add up', () => {
    const travel = [520, 480, 120] as const
    const { layers, sections, blank_mm3, boards, leastBoards } = plan(travel)
    expect(sections.length).toBeGreaterThan(4)
    for (const s of sections) {
      expect(s.x1 - s.x0).toBeLessThanOrEqual(travel[0] + 1e-6)
      expect(s.y1 - s.y0).toBeLessThanOrEqual(travel[1] + 1e-6)
      expect(s.z1 - s.z0).toBeLessThanOrEqual(travel[2] + 1e-6)
    }
    let sum = 0
    for (const layer of layers)
      for (const r of layer.pieces) {
        const s = sections[r.section]!
        expect(r.x0 >= s.x0 - 1e-3 && r.x1 <= s.x1 + 1e-3 && r.y0 >= s.y0 - 1e-3 && r.y1 <= s.y1 + 1e-3).toBe(true)
        expect(Math.max(r.x1 - r.x0, r.y1 - r.y0)).toBeLessThanOrEqual(BOARD.length_mm + 1e-6)
        expect(Math.min(r.x1 - r.x0, r.y1 - r.y0)).toBeLessThanOrEqual(BOARD.width_mm + 1e-6)
        sum += (r.x1 - r.x0) * (r.y1 - r.y0) * BOARD.thickness_mm
      }
    expect(Math.abs(sum / blank_mm3 - 1)).toBeLessThan(1e-9)
    expect(boards).toBeGreaterThanOrEqual(leastBoards)
    const finished = sections.reduce((t, s) => t + s.finished_kg, 0)
    expect(Math.abs(finished / ((made.volume_mm3 * BOARD.density_kg_m3) / 1e9) - 1)).toBeLessThan(0.02)
  })

  it('keeps glue lines off the edge where the height has room for a choice', () => {
    const few = drain(stockPlan({ made, board: BOARD, allowance_mm: 5, travel_mm: [5000, 3000, 1000], edge: null }))
    const chosen = plan([5000, 3000, 1000])
    expect(chosen.layers.length).toBe(few.layers.length)
    expect(chosen.glue_mm).toHaveLength(chosen.layers.length - 1)
    expect(chosen.layers[0]!.z0_mm).toBeLessThanOrEqual(few.layers[0]!.z0_mm + 1e-9)
  })
})
