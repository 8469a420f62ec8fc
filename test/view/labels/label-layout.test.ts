import { describe, expect, it } from 'vitest'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { labelBox, layLabels, overlap } from '../../../src/view/labels/label-layout'
import { labelWords } from '../../../src/view/labels/label-words'

const room = { left: 10, top: 30, right: 1070, bottom: 740 }
const legend = { left: 0, top: 592, right: 392, bottom: 752 }

describe('rings and their words', () => {
  it('never stand over each other or over the legend, with six of them about a spot', () => {
    const random = seededRandom(3)
    for (let round = 0; round < 60; round++) {
      const middle = [150 + random() * 750, 150 + random() * 420] as const
      const wishes = Array.from({ length: 6 }, () => ({
        x: middle[0] + (random() - 0.5) * 260,
        y: middle[1] + (random() - 0.5) * 160,
        words_px: 30 + random() * 70,
        before: -1,
      }))
      const places = layLabels(wishes, room, [legend])
      const boxes = places.map((p, i) => labelBox(p.x, p.y, wishes[i]!.words_px, p.side))
      boxes.forEach((box, i) => {
        expect(overlap(box, legend), `round ${round}`).toBe(0)
        for (const other of boxes.slice(i + 1)) expect(overlap(box, other), `round ${round}`).toBe(0)
      })
    }
  })

  it('keeps its place while the camera moves a little', () => {
    const wish = { x: 500, y: 400, words_px: 50, before: -1 }
    const [first] = layLabels([wish], room, [])
    const [next] = layLabels([{ ...wish, x: 503, y: 398, before: first!.place }], room, [])
    expect(next!.place).toBe(first!.place)
  })

  it('stays inside at the edges', () => {
    for (const [x, y] of [
      [15, 60],
      [1065, 60],
      [1065, 730],
    ] as const) {
      const [p] = layLabels([{ x, y, words_px: 60, before: -1 }], room, [])
      const box = labelBox(p!.x, p!.y, 60, p!.side)
      expect(box.left >= room.left && box.right <= room.right && box.top >= room.top && box.bottom <= room.bottom).toBe(
        true,
      )
    }
  })

  it('says the number, never rounded in its own favour', () => {
    const about = { step: 'clearance', severity: 'hold', message: '' } as const
    expect(labelWords({ ...about, id: 'clearance.fails', value: 11.96, limit: 12, unit: 'mm' }, 'mm')).toBe('11.9 mm')
    expect(labelWords({ ...about, id: 'clearance.unseen', value: 33_210, unit: 'mm2' }, 'mm')).toBe('unseen 333 cm²')
    expect(labelWords({ ...about, id: 'analysis.topside.undercut.1', value: 71_200, unit: 'mm2' }, 'mm')).toBe(
      'locked 712 cm²',
    )
    expect(labelWords({ ...about, id: 'datum.choice' }, 'mm')).toBe('hold')
  })
})
