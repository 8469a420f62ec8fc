/** Measuring holds on to what a drawing would: corners, edges, scanned points; lengths are those of the solids on paper. */
import { BufferAttribute } from 'three'
import { beforeEach, describe, expect, it } from 'vitest'
import type { Mesh } from '../../../src/core/geometry/mesh'
import type { Vec3 } from '../../../src/view/camera/eye'
import { createEyeRig } from '../../../src/view/camera/eye-rig'
import { cornerGeometry } from '../../../src/view/geometry/build'
import { lengthOf_mm, measureText, partsOf_mm, spotOf } from '../../../src/view/measuring/measure'
import { takeBack, takeEnd } from '../../../src/view/measuring/take-measure'
import { createPickRegister, type PickKind, type PickRegister } from '../../../src/view/picking/pick'
import { createSheetStore } from '../../../src/view/sheet-store'
import { box } from '../../support/solids'

const NONE: Vec3 = [0, 0, 0]
const all = () => true

function shown(picks: PickRegister, mesh: Mesh, kind: PickKind, lifted: Vec3 = NONE): void {
  const geometry = cornerGeometry(mesh)
  geometry.setAttribute('aValue', new BufferAttribute(new Float32Array(3), 1))
  picks.add({ geometry, kind, object: null, id: null, mesh, lifted: () => lifted })
}

/** Straight from above, one pixel a millimetre, the origin in the middle of 400 × 400 px. */
function plan() {
  const rig = createEyeRig()
  rig.setRoom(400, 400, { left: 0, top: 0, width: 400, height: 400 })
  rig.set({ azimuth_deg: -90, elevation_deg: 90, target: [0, 0, 0], pxPerMm: 1 })
  return rig.now()
}
/** The place of the sheet over a place in plan. */
const px = (x: number, y: number): [number, number] => [200 + x, 200 - y]

describe('measuring', () => {
  let picks: PickRegister
  beforeEach(() => {
    picks = createPickRegister()
  })

  it('takes the corner of a box within nine pixels, its edge within seven, else the face', () => {
    shown(picks, box([0, 0, 0], [100, 60, 40]), 'topside')
    const at = (x: number, y: number) => picks.hold(plan(), ...px(x, y), all)
    expect(at(95, 56)).toMatchObject({ hold: 'corner', at: [100, 60, 40] })
    const edge = at(50, 55)
    expect(edge?.hold).toBe('edge')
    expect(edge?.at[0]).toBeCloseTo(50, 6)
    expect(edge?.at.slice(1)).toEqual([60, 40])
    // The diagonal of the two facets of a flat side is no edge of the drawing.
    const face = at(50, 30)
    expect(face?.hold).toBe('face')
    expect(face?.at[2]).toBeCloseTo(40, 6)
    expect(at(150, 0)).toBeNull()
  })

  it('takes the scanned point on the scan, not the facet between points', () => {
    shown(picks, box([0, 0, 0], [100, 60, 40]), 'frame')
    expect(picks.hold(plan(), ...px(97, 56), all)).toMatchObject({ hold: 'point', at: [100, 60, 40] })
    expect(picks.hold(plan(), ...px(50, 56), all)?.hold).toBe('face')
  })

  it('measures from a point to the nearest of a part, and between points, as on paper', () => {
    shown(picks, box([0, 0, 0], [100, 60, 40]), 'topside')
    shown(picks, box([0, 0, -200], [100, 60, -112.5]), 'frame')
    const sheet = createSheetStore()
    const top = picks.hold(plan(), ...px(50, 30), (kind) => kind === 'topside')!
    sheet.setState({ measureTo: 'frame' })
    expect(takeEnd(sheet, picks, spotOf(top))).toBe(true)
    // 40 down through the box and 112.5 on.
    expect(lengthOf_mm(sheet.getState().measures[0]!)).toBeCloseTo(152.5, 5)
    sheet.setState({ measureTo: 'point' })
    const a = picks.hold(plan(), ...px(1, 1), (kind) => kind === 'topside')!
    const b = picks.hold(plan(), ...px(99, 59), (kind) => kind === 'topside')!
    takeEnd(sheet, picks, spotOf(a))
    takeEnd(sheet, picks, spotOf(a))
    expect(sheet.getState().measures).toHaveLength(1)
    takeEnd(sheet, picks, spotOf(b))
    const [, across] = sheet.getState().measures
    expect(lengthOf_mm(across!)).toBeCloseTo(Math.hypot(100, 60), 9)
    expect(partsOf_mm(across!)).toEqual([100, 60, 0])
    expect(measureText(38.1, 'in')).toBe('1 1/2 in (1.5000)')
    takeBack(sheet)
    takeBack(sheet)
    expect(sheet.getState().measures).toEqual([])
    expect(takeBack(sheet)).toBe(false)
  })

  it('a part that is drawn lifted is measured where it belongs', () => {
    shown(picks, box([0, 0, 0], [100, 60, 40]), 'topside', [0, 30, 500])
    const held = picks.hold(plan(), ...px(97, 87), all)!
    expect(held).toMatchObject({ hold: 'corner', at: [100, 60, 40], shown: [100, 90, 540] })
    expect(picks.pick(plan(), ...px(50, 45), all)?.at[1]).toBeCloseTo(15, 5)
    expect(picks.nearestOn('topside', [50, 30, 100])?.at).toEqual([50, 30, 40])
  })

  it('says of the drawn parts whether one hides a place from the eye', () => {
    shown(picks, box([0, 0, 0], [100, 60, 40]), 'topside')
    expect(picks.hides(plan(), [50, 30, -100], ['topside'])).toBe(true)
    expect(picks.hides(plan(), [50, 30, 40], ['topside'])).toBe(false)
    expect(picks.hides(plan(), [150, 30, -100], ['topside'])).toBe(false)
  })
})
