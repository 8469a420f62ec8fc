import { describe, expect, it } from 'vitest'
import {
  basisOf,
  between,
  corners,
  type Eye,
  fieldOf,
  fitClear,
  fitEye,
  lookingEye,
  project,
  scaleAt,
  scaleOfField,
  sightAt,
  turnedTo,
  unproject,
  zoomAbout,
} from '../../../src/view/camera/eye'
import { DRAWING_VIEWS, VIEW_ANGLES } from '../../../src/view/camera/views'

const free = { left: 100, top: 50, width: 600, height: 400 }
const at = (azimuth_deg: number, elevation_deg: number): Eye => ({
  azimuth_deg,
  elevation_deg,
  target: [10, -20, 30],
  pxPerMm: 0.5,
})

describe('the eye', () => {
  it('draws profile with the bow to the right and up upwards, body with port to the right', () => {
    const profile = { ...at(-90, 0), target: [0, 0, 0] as const }
    const [x, y] = project(profile, basisOf(profile), free, [100, 0, 40])
    expect(x).toBeCloseTo(400 + 50, 9)
    expect(y).toBeCloseTo(250 - 20, 9)
    const body = { ...at(0, 0), target: [0, 0, 0] as const }
    expect(project(body, basisOf(body), free, [0, 100, 0])[0]).toBeCloseTo(450, 9)
  })

  it('draws plan with the bow to the right and port upwards', () => {
    const plan = { ...at(-90, 90), target: [0, 0, 0] as const }
    const [x, y] = project(plan, basisOf(plan), free, [100, 60, 999])
    expect(x).toBeCloseTo(450, 9)
    expect(y).toBeCloseTo(220, 9)
  })

  it('puts the target in the middle of the free part, and takes a place back to the point drawn there', () => {
    for (const view of DRAWING_VIEWS) {
      const eye = { ...at(0, 0), ...VIEW_ANGLES[view] }
      const basis = basisOf(eye)
      expect(project(eye, basis, free, eye.target).slice(0, 2)).toEqual([400, 250])
      const p = unproject(eye, basis, free, 130, 333)
      const [x, y, depth] = project(eye, basis, free, p)
      expect(x).toBeCloseTo(130, 9)
      expect(y).toBeCloseTo(333, 9)
      expect(depth).toBeCloseTo(0, 9)
    }
  })

  it('holds the point under the pointer while it zooms', () => {
    const eye = at(-63, 27)
    const held = unproject(eye, basisOf(eye), free, 610, 90)
    const near = zoomAbout(eye, free, 610, 90, 3)
    expect(near.pxPerMm).toBeCloseTo(1.5, 9)
    const [x, y] = project(near, basisOf(near), free, held)
    expect(x).toBeCloseTo(610, 6)
    expect(y).toBeCloseTo(90, 6)
  })

  it('fits every view so that all is inside and one direction is filled', () => {
    const box = corners([-1200, -800, 0], [1200, 800, 1000])
    for (const view of DRAWING_VIEWS) {
      const eye = fitEye(VIEW_ANGLES[view], box, free, 0.9)
      const drawn = box.map((p) => project(eye, basisOf(eye), free, p))
      const wide = Math.max(...drawn.map((d) => d[0])) - Math.min(...drawn.map((d) => d[0]))
      const high = Math.max(...drawn.map((d) => d[1])) - Math.min(...drawn.map((d) => d[1]))
      expect(Math.max(wide / free.width, high / free.height)).toBeCloseTo(0.9, 6)
      const middle = (Math.max(...drawn.map((d) => d[0])) + Math.min(...drawn.map((d) => d[0]))) / 2
      expect(middle).toBeCloseTo(400, 6)
    }
  })

  it('flies the shorter way round and ends exactly on the view', () => {
    const a = at(170, 0)
    const b = at(-170, 20)
    expect(between(a, b, 0.5).azimuth_deg).toBeCloseTo(180, 9)
    expect(between(a, b, 1)).toBe(b)
  })
})

describe('a fit that keeps clear', () => {
  const free = { left: 20, top: 20, width: 960, height: 560 }
  const legend = { left: 0, top: 400, right: 460, bottom: 600 }
  const points = corners([-1500, -1000, 0], [1500, 1000, 1200])
  const covered = (eye: Eye) =>
    points.filter((p) => {
      const [x, y] = project(eye, basisOf(eye), free, p)
      return x > legend.left && x < legend.right && y > legend.top && y < legend.bottom
    }).length

  it('moves a leg out from behind the legend, and leaves a fit alone that nothing covers', () => {
    const angles = { azimuth_deg: -63, elevation_deg: 27 }
    expect(covered(fitEye(angles, points, free))).toBeGreaterThan(0)
    const clear = fitClear(angles, points, free, [legend])
    expect(covered(clear)).toBe(0)
    for (const p of points) {
      const [x, y] = project(clear, basisOf(clear), free, p)
      expect(x > 0 && x < 1000 && y > -20 && y < 600).toBe(true)
    }
    expect(fitClear(angles, points, free, [])).toEqual(fitEye(angles, points, free))
  })
})

describe('the eye at the helm', () => {
  const stand = [200, -300, 1600] as const
  const ahead = lookingEye(stand, 0, 0, scaleOfField(60, free))
  const drawn = (eye: Eye, p: readonly [number, number, number]) => project(eye, basisOf(eye), free, p)

  it('stands where it is put and looks ahead: forward is in the middle, port to the left, up upwards', () => {
    expect(drawn(ahead, [5200, -300, 1600])[0]).toBeCloseTo(400, 9)
    expect(drawn(ahead, [5200, -300, 1600])[1]).toBeCloseTo(250, 9)
    expect(drawn(ahead, [5200, 700, 1600])[0]).toBeLessThan(400)
    expect(drawn(ahead, [5200, -300, 2600])[1]).toBeLessThan(250)
    const starboard = lookingEye(stand, 90, 0, ahead.pxPerMm)
    expect(drawn(starboard, [200, -5300, 1600])[0]).toBeCloseTo(400, 9)
  })

  it('takes in the field that is asked, and twice as far is half as large', () => {
    expect(fieldOf(ahead, free).high_deg).toBeCloseTo(60, 9)
    // The upper edge of the free box lies 30° above the horizontal: 1000 mm up at 1000 / tan 30° mm.
    const away = 1000 / Math.tan(Math.PI / 6)
    expect(drawn(ahead, [200 + away, -300, 2600])[1]).toBeCloseTo(50, 6)
    const near = drawn(ahead, [1200, -300, 1700])[1]
    const far = drawn(ahead, [2200, -300, 1700])[1]
    expect((250 - near) / (250 - far)).toBeCloseTo(2, 9)
    expect(scaleAt(ahead, basisOf(ahead), [1200, -300, 1700]) * 100).toBeCloseTo(250 - near, 9)
  })

  it('draws nothing that is behind, and finds what is seen at a place of the sheet', () => {
    expect(drawn(ahead, [-4000, -300, 1600])[0]).toBeLessThan(-1000)
    for (const bearing of [0, 37, 181, -95]) {
      const eye = lookingEye(stand, bearing, 12, ahead.pxPerMm)
      const { from, along } = sightAt(eye, basisOf(eye), free, 150, 380)
      expect(from).toEqual(stand)
      const p = [0, 1, 2].map((k) => from[k]! + 2345 * along[k]!) as unknown as readonly [number, number, number]
      const [x, y] = drawn(eye, p)
      expect(x).toBeCloseTo(150, 6)
      expect(y).toBeCloseTo(380, 6)
    }
  })

  it('turns the head to a place, keeps its feet while it zooms, and takes in no more than a head can', () => {
    const spot = [-700, 900, 2000] as const
    const [x, y] = drawn(turnedTo(ahead, spot), spot)
    expect(x).toBeCloseTo(400, 6)
    expect(y).toBeCloseTo(250, 6)
    const near = zoomAbout(ahead, free, 610, 90, 2)
    expect(near.target).toEqual(stand)
    expect(fieldOf(near, free).high_deg).toBeLessThan(60)
    expect(fieldOf(zoomAbout(ahead, free, 0, 0, 1e-6), free).high_deg).toBeCloseTo(100, 9)
    // A parallel sight looks along the eye wherever it is taken.
    const parallel = at(-63, 27)
    expect(sightAt(parallel, basisOf(parallel), free, 3, 9).along).toEqual(basisOf(parallel).back.map((v) => -v))
  })
})
