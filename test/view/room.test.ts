import { describe, expect, it } from 'vitest'
import { overlap } from '../../src/view/labels/label-layout'
import { roomOf, SLIP_PX } from '../../src/view/room'
import { nextRevision } from '../../src/view/title-block'

const wish = { slip_px: 0, legend: true, glassLarge: false, spotAsked: false }

describe('who stands where', () => {
  it('has the boxes of the page in its three windows', () => {
    const large = roomOf({ ...wish, width: 1078, height: 750 })
    expect(large.legend).toEqual({ left: 0, top: 590, right: 392, bottom: 750 })
    expect(large.title).toEqual({ left: 792, top: 658, right: 1078, bottom: 750 })
    expect(large.glass?.r).toBe(104)
    const small = roomOf({ ...wish, width: 998, height: 481 })
    expect([small.size, small.glass?.r]).toEqual(['small', 76])
    expect(small.legend!.right).toBe(340)
    const phone = roomOf({ ...wish, width: 372, height: 363 })
    expect([phone.size, phone.glass, phone.title]).toEqual(['phone', null, null])
    expect(phone.legend).toEqual({ left: 0, top: 251, right: 372, bottom: 363 })
    expect(roomOf({ ...wish, width: 372, height: 363, spotAsked: true }).glass).not.toBeNull()
  })

  it('never lays legend over title block, and keeps glass and middle clear of an open slip', () => {
    for (const width of [760, 900, 1078, 1800, 3300])
      for (const slip_px of [0, SLIP_PX]) {
        const room = roomOf({ ...wish, width, height: 750, slip_px })
        expect(overlap(room.legend!, room.title!)).toBe(0)
        if (room.glass) expect(room.glass.cx + room.glass.r).toBeLessThanOrEqual(width - slip_px)
        expect(room.free.left + room.free.width).toBeLessThanOrEqual(width - slip_px)
      }
  })

  it('counts revisions on', () => {
    expect(['A', 'Z', 'AZ', '3', 'draft'].map(nextRevision)).toEqual(['B', 'AA', 'BA', '4', 'draft2'])
  })
})
