/**
 * Accessories of our own for the demo, as a supplier might send them: one with y up, one in inches, two as OBJ. Sizes and
 * masses are what such parts have (common practice, no source). Every part stands on a truly flat base.
 */
import { type Mesh, makeMesh } from '../core/geometry/mesh'
import { cosDeg, sinDeg } from '../core/geometry/portable-math'
import { writeObj } from '../core/release/writers/obj'
import { writeStl } from '../core/release/writers/stl'
import { type Body, bar, placed, roundedBox, turned, united } from './part-bodies'

export interface Accessory {
  readonly key: 'lamp' | 'antenna-mount' | 'hatch' | 'equipment-box' | 'grab-rail' | 'floodlight'
  readonly fileName: string
  readonly unit: 'mm' | 'in'
  /** In the file's own axes and unit. */
  readonly mesh: Mesh<'part'>
  /** Outward normal of the base in the file's axes. */
  readonly baseNormal: readonly [number, number, number]
  readonly mass_kg: number
  readonly bytes: Uint8Array
}

export async function accessories(): Promise<Accessory[]> {
  return [
    await export_('lamp', lamp(), { mass_kg: 0.9 }),
    await export_('antenna-mount', antennaMount(), { mass_kg: 2.4, yUp: true }),
    await export_('hatch', hatch(), { mass_kg: 6.8, unit: 'in', format: 'obj' }),
    await export_('equipment-box', equipmentBox(), { mass_kg: 4.5 }),
    await export_('grab-rail', grabRail(), { mass_kg: 1.3 }),
    await export_('floodlight', floodlight(), { mass_kg: 1.1, format: 'obj' }),
  ]
}

/** All-round lamp: flange, stem, ribbed lens, domed cap; 72 facets round. */
function lamp(): Body[] {
  return [
    turned([
      [44, 0],
      [44, 5],
      [42, 7],
      [27, 9],
      [24, 13],
      [23, 58],
      [25, 62],
      [37, 66],
      [38, 68],
      [38, 74],
      [35, 76],
      [35, 90],
      [36, 92],
      [36, 96],
      [35, 98],
      [35, 112],
      [36, 114],
      [36, 118],
      [35, 120],
      [35, 134],
      [38, 136],
      [38, 143],
      [36.5, 147],
      [31, 152.5],
      [22, 156.5],
      [11, 159],
      [2, 159.6],
    ]),
  ]
}

/** Antenna mount: flange with four bolt heads, tapered post, thread collar, mushroom dome. */
function antennaMount(): Body[] {
  const bolt = (deg: number) =>
    placed(
      turned(
        [
          [7.5, 0],
          [7.5, 5],
          [6.5, 6],
        ],
        6,
      ),
      [46 * cosDeg(deg), 46 * sinDeg(deg), 7],
    )
  return [
    turned([
      [60, 0],
      [60, 7],
      [58, 9],
      [34, 11],
      [28, 16],
      [25, 26],
      [18, 210],
      [18, 228],
      [26, 230],
      [26, 252],
      [20, 255],
      [20, 262],
      [52, 266],
      [82, 271],
      [88, 275],
      [90, 281],
      [89.5, 289],
      [86, 301],
      [79, 313],
      [68, 323.5],
      [54, 332],
      [37, 338],
      [18, 341.5],
      [3, 342.4],
    ]),
    bolt(45),
    bolt(135),
    bolt(225),
    bolt(315),
  ]
}

/** Deck hatch: frame, rounded lid with a slightly domed lens, two hinges aft, a dog handle forward. */
function hatch(): Body[] {
  const [a, b] = [9.25 * 25.4, 9.25 * 25.4]
  return [
    roundedBox(a, b, 62, [
      [0, 0],
      [0, 6],
      [2, 9],
      [16, 14],
      [18, 18],
      [18, 31],
      [21, 35],
      [40, 36.5],
      [46, 36.2],
      [48, 37.6],
      [90, 40.2],
      [140, 41.8],
      [190, 42.4],
    ]),
    ...[-120, 120].map((y) =>
      placed(
        roundedBox(
          17,
          26,
          6,
          [
            [0, 0],
            [0, 30],
            [4, 37],
            [9, 39],
          ],
          4,
        ),
        [-a + 13, y, 4],
      ),
    ),
    placed(
      roundedBox(
        13,
        34,
        6,
        [
          [0, 0],
          [0, 9],
          [3, 12],
        ],
        4,
      ),
      [a - 36, 0, 33],
    ),
  ]
}

/** Equipment box: body with four feet, lid with a lip, two catches, three cable glands at the after end. */
function equipmentBox(): Body[] {
  const feet = [
    [1, 1],
    [1, -1],
    [-1, 1],
    [-1, -1],
  ].map(([sx, sy]) =>
    placed(
      roundedBox(
        22,
        17,
        10,
        [
          [0, 0],
          [0, 4],
          [1, 5],
        ],
        5,
      ),
      [sx! * 132, sy! * 116, 0],
    ),
  )
  const glands = [-50, 0, 50].map((y) =>
    // A gland lies along x: a turned body tilted by a right angle.
    placed(
      turned(
        [
          [13, 0],
          [13, 9],
          [10, 11],
          [10, 20],
          [7, 24],
        ],
        24,
      ),
      [-158, y, 46],
      -90,
    ),
  )
  return [
    roundedBox(160, 110, 18, [
      [0, 0],
      [0, 96],
      [1, 97],
    ]),
    placed(
      roundedBox(165, 115, 23, [
        [0, 0],
        [0, 22],
        [2, 27],
        [6, 30],
        [30, 32],
      ]),
      [0, 0, 95],
    ),
    ...[-95, 95].map((x) =>
      placed(
        roundedBox(
          16,
          7,
          3,
          [
            [0, 0],
            [0, 38],
            [2, 40],
          ],
          4,
        ),
        [x, 116, 72],
      ),
    ),
    ...feet,
    ...glands,
  ]
}

/** Grab rail: a bent bar, 640 mm between its flanges' outer edges. */
function grabRail(): Body[] {
  const [half, height, bend] = [290, 78, 58]
  const side = (sign: number) =>
    Array.from({ length: 9 }, (_, i): [number, number] => {
      const deg = (90 * i) / 8
      return [sign * (half - bend + bend * cosDeg(deg)), height - bend + bend * sinDeg(deg)]
    })
  const flange = (sign: number) =>
    placed(
      turned(
        [
          [30, 0],
          [30, 4],
          [28, 6],
          [18, 8],
        ],
        48,
      ),
      [sign * half, 0, 0],
    )
  const path: [number, number][] = [[half, 2], ...side(1), ...side(-1).reverse(), [-half, 2]]
  return [bar(path, 12.5), flange(1), flange(-1)]
}

/** Floodlight: foot, stalk, a head that looks forward and 12 degrees down, cooling fins behind; its lead leaves to port. */
function floodlight(): Body[] {
  const head = roundedBox(24, 74, 10, [
    [8, -52],
    [2, -50],
    [0, -46],
    [0, 46],
    [2, 50],
    [8, 52],
  ])
  const fin = (y: number) =>
    placed(
      roundedBox(
        15,
        2.5,
        2,
        [
          [0, -42],
          [0, 40],
          [1, 42],
        ],
        3,
      ),
      [-31, y, 0],
    )
  const visor = placed(
    roundedBox(
      22,
      70,
      6,
      [
        [0, 0],
        [0, 3],
        [1, 4],
      ],
      4,
    ),
    [34, 0, 47],
  )
  const tilted = [head, visor, ...[-54, -36, -18, 0, 18, 36, 54].map(fin)].map((body) => placed(body, [6, 0, 112], 12))
  const lead = placed(
    turned(
      [
        [7, 0],
        [7, 10],
        [5, 14],
      ],
      24,
    ),
    [-18, 38, 6],
  )
  return [
    roundedBox(66, 56, 16, [
      [0, 0],
      [0, 6],
      [2, 8],
    ]),
    turned(
      [
        [24, 4],
        [22, 14],
        [16, 24],
        [16, 76],
      ],
      48,
    ),
    lead,
    ...tilted,
  ]
}

interface ExportAs {
  readonly mass_kg: number
  readonly unit?: 'mm' | 'in'
  readonly format?: 'stl' | 'obj'
  /** z-up drawing to a y-up file: a quarter turn about x. */
  readonly yUp?: boolean
}

async function export_(key: Accessory['key'], bodies: readonly Body[], as: ExportAs): Promise<Accessory> {
  const unit = as.unit ?? 'mm'
  const per = unit === 'in' ? 1 / 25.4 : 1
  const whole = await united(bodies)
  const positions = new Float32Array(whole.positions.length)
  for (let v = 0; v < positions.length; v += 3) {
    const [x, y, z] = [whole.positions[v]! * per, whole.positions[v + 1]! * per, whole.positions[v + 2]! * per]
    positions.set(as.yUp ? [x, z, -y] : [x, y, z], v)
  }
  const mesh = makeMesh('part', positions, whole.indices)
  const words = `${key}, ${unit === 'in' ? 'inches' : 'mm'}, ${as.yUp ? 'y' : 'z'} up`
  const format = as.format ?? 'stl'
  return {
    key,
    fileName: `${key}.${format}`,
    unit,
    mesh,
    baseNormal: as.yUp ? [0, -1, 0] : [0, 0, -1],
    mass_kg: as.mass_kg,
    bytes:
      format === 'obj' ? writeObj(mesh, { name: key, words, digits: unit === 'in' ? 6 : 4 }) : writeStl(mesh, words),
  }
}
