/** Datum from picked places. The definition of a mirror is the source; the closed form is held against a slow search. */
import { describe, expect, it } from 'vitest'
import { type DatumPicks, datumStep } from '../../../src/core/datum'
import { pickedPose } from '../../../src/core/datum/picked-pose'
import { invertRigid, type Matrix4, multiply, type Point, transformPoint } from '../../../src/core/geometry/axes'
import { drain } from '../../../src/core/geometry/kernel'
import { seededRandom } from '../../../src/core/geometry/seeded-random'
import { Refused } from '../../../src/core/geometry/trouble'
import { tubeFrame } from './tube-frame'

/** A turn of `deg` about an axis (Rodrigues' formula), then a shift. */
function turnedBy(axis: readonly [number, number, number], deg: number, shift: readonly number[]): Matrix4 {
  const length = Math.hypot(...axis)
  const [x, y, z] = axis.map((v) => v / length) as [number, number, number]
  const c = Math.cos((deg * Math.PI) / 180)
  const s = Math.sin((deg * Math.PI) / 180)
  const t = 1 - c
  return [
    ...[c + t * x * x, t * x * y - s * z, t * x * z + s * y, shift[0]!],
    ...[t * x * y + s * z, c + t * y * y, t * y * z - s * x, shift[1]!],
    ...[t * x * z - s * y, t * y * z + s * x, c + t * z * z, shift[2]!],
    ...[0, 0, 0, 1],
  ]
}

const NONE: DatumPicks = { level: [], pairs: [], forward: [] }

/** Picks of a job as they lie in the scan. */
function inScan(pose: Matrix4, picks: DatumPicks): DatumPicks {
  const at = (p: Point<'scan'>) => transformPoint(pose, p)
  return {
    level: picks.level.map(at),
    pairs: picks.pairs.map((p) => ({ port: at(p.port), starboard: at(p.starboard) })),
    forward: picks.forward.map(at),
  }
}

const LEVEL: DatumPicks['level'] = [
  [1000, 500, 3],
  [-900, 600, 3],
  [100, -700, 3],
]
const PAIRS: DatumPicks['pairs'] = [
  { port: [1000, 600, 10], starboard: [1000, -600, 20] },
  { port: [-800, 700, 0], starboard: [-800, -700, -9] },
]
const FORWARD: DatumPicks['forward'] = [
  [-500, 300, 0],
  [700, 300, 40],
]

describe('pose from picks', () => {
  const poses = [turnedBy([1, 2, 3], 37, [40, -20, 900]), turnedBy([-2, 1, 0.3], 171, [0, 5000, 3])]

  it.each([0, 1])('all three settle it without anything found, in pose %i', (number) => {
    const pose = poses[number]!
    const picks = inScan(pose, { level: LEVEL, pairs: PAIRS, forward: FORWARD })
    const { port, up, offset_mm, residuals } = pickedPose(picks, null)
    const back = invertRigid(pose)
    // Directions of the job as they lie in the scan are the columns of the pose.
    for (let k = 0; k < 3; k++) {
      expect(port[k]!).toBeCloseTo(pose[4 * k + 1]!, 9)
      expect(up[k]!).toBeCloseTo(pose[4 * k + 2]!, 9)
    }
    expect(offset_mm).toBeCloseTo(-back[7]!, 6)
    expect(residuals.level_mm).toBeCloseTo(0, 6)
    expect(residuals.forward_deg).toBeCloseTo(0, 5)
    expect(residuals.pairs.map((p) => [p.plan_mm, p.up_mm])).toEqual([
      [expect.closeTo(0, 6), expect.closeTo(-10, 6)],
      [expect.closeTo(0, 6), expect.closeTo(9, 6)],
    ])
  })

  it('what is not picked comes from what was found', () => {
    const pose = poses[0]!
    const found = invertRigid(pose)
    const forward = pickedPose(inScan(pose, { ...NONE, forward: [FORWARD[1]!, FORWARD[0]!] }), found)
    for (let k = 0; k < 3; k++) {
      expect(forward.up[k]!).toBeCloseTo(pose[4 * k + 2]!, 9)
      expect(forward.port[k]!).toBeCloseTo(-pose[4 * k + 1]!, 9)
    }
    // A level tipped by a known angle about y: up leans, port stays.
    const tipped = pickedPose(inScan(pose, { ...NONE, level: LEVEL.map(([x, y]) => [x, y, x * 0.01] as const) }), found)
    for (let k = 0; k < 3; k++) {
      expect(tipped.port[k]!).toBeCloseTo(pose[4 * k + 1]!, 9)
      expect(tipped.up[k]!).toBeCloseTo((pose[4 * k + 2]! - 0.01 * pose[4 * k]!) / Math.hypot(1, 0.01), 9)
    }
  })

  it('port, starboard and forward say which side is up, against what was found', () => {
    const pose = poses[0]!
    const overturned = multiply([1, 0, 0, 0, 0, -1, 0, 0, 0, 0, -1, 0, 0, 0, 0, 1], invertRigid(pose))
    const { up } = pickedPose(inScan(pose, { ...NONE, pairs: PAIRS, forward: FORWARD }), overturned)
    for (let k = 0; k < 3; k++) expect(up[k]!).toBeCloseTo(pose[4 * k + 2]!, 9)
  })

  it('the centreline of pairs that disagree is the best one: a slow search finds none better', () => {
    const random = seededRandom(7)
    const off = () => 30 * (random() - 0.5)
    const pairs = Array.from({ length: 5 }, (_, i) => ({
      port: [400 * i + off(), 500 + off(), off()] as const,
      starboard: [400 * i + off(), -500 + off(), off()] as const,
    }))
    const { port, offset_mm } = pickedPose({ ...NONE, pairs }, [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1])
    const left = (turn: number, d: number) => {
      const n = [Math.sin(turn), Math.cos(turn)] as const
      return pairs.reduce((sum, { port: p, starboard: s }) => {
        const by = 2 * (d - (n[0] * s[0] + n[1] * s[1]))
        return sum + (p[0] - s[0] - by * n[0]) ** 2 + (p[1] - s[1] - by * n[1]) ** 2
      }, 0)
    }
    const mine = left(Math.atan2(port[0], port[1]), offset_mm)
    expect(port[2]).toBeCloseTo(0, 12)
    for (let turn = -0.1; turn <= 0.1; turn += 0.002)
      for (let d = -20; d <= 20; d += 0.5) expect(left(turn, d)).toBeGreaterThanOrEqual(mine - 1e-6)
  })

  it.each<[string, DatumPicks, RegExp]>([
    ['level in a row', { ...NONE, level: [0, 500, 1000].map((x) => [x, 3, 0] as const) }, /one line/],
    ['level in one spot', { ...NONE, level: [0, 1, 2].map((x) => [x, x * x, 0] as const) }, /one line or all together/],
    ['a pair in one spot', { ...NONE, pairs: [{ port: [0, 3, 0], starboard: [0, 0, 0] }] }, /well apart/],
    ['a pair above itself', { ...NONE, pairs: [{ port: [0, 3, 500], starboard: [0, 0, 0] }] }, /well apart/],
    [
      'forward in one spot',
      {
        ...NONE,
        forward: [
          [0, 0, 0],
          [9, 0, 0],
        ],
      },
      /too close/,
    ],
    [
      'forward upwards',
      {
        ...NONE,
        forward: [
          [0, 0, 0],
          [9, 0, 900],
        ],
      },
      /above each other/,
    ],
  ])('%s is refused with its reason', (_, picks, why) => {
    const found = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]
    expect(() => pickedPose(picks, found)).toThrow(Refused)
    expect(() => pickedPose(picks, found)).toThrow(why)
  })
})

it('the step puts the frame where the picks say, measures its lowered side there, and tells what they leave', () => {
  const frame = tubeFrame({ seed: 5, edge_mm: 16, noise_mm: 0.3, lowered_mm: 6, legs: true, holes: 4, posed: true })
  const picks = inScan(frame.pose, { level: LEVEL, pairs: PAIRS, forward: FORWARD })
  const result = drain(
    datumStep({
      mesh: frame.mesh,
      rimVertex: frame.rimVertex,
      noise_mm: 0.3,
      setting: { matrix: 'auto', picks, forwardFlipped: false, upFlipped: false, reading: 'plan-view' },
    }),
  )
  const off = multiply(result.motion, frame.pose)
  for (const k of [0, 5, 10]) expect(off[k]!).toBeCloseTo(1, 9)
  expect(off[7]!).toBeCloseTo(0, 6)
  expect(result.planeFrom).toBe('picks')
  const slope = result.lowered.port_mm / result.lowered.halfWidth_mm
  expect(Math.abs(slope * frame.halfWidth_mm - 6)).toBeLessThan(0.3)
  expect(result.picked?.pairs).toHaveLength(2)
  expect(result.findings.map((f) => f.id)).not.toContain('datum.forward')

  const wrong = {
    ...picks,
    pairs: [...picks.pairs, { port: picks.pairs[0]!.port, starboard: picks.pairs[1]!.starboard }],
  }
  const told = drain(
    datumStep({
      mesh: frame.mesh,
      rimVertex: frame.rimVertex,
      noise_mm: 0.3,
      setting: { matrix: 'auto', picks: wrong, forwardFlipped: false, upFlipped: false, reading: 'plan-view' },
    }),
  )
  expect(told.findings.some((f) => f.id === 'datum.picked-pairs')).toBe(true)
})
