/** One tool from moulded face to hours: extended face, solid, boards, what the cutters reach, passes, time. */

import { facetField } from '../geometry/facet-field'
import { type Steps, within } from '../geometry/kernel'
import { bounds, facetCount, type Mesh, makeMesh } from '../geometry/mesh'
import { square } from '../geometry/portable-math'
import { contactMesh } from './contact'
import { contourPasses } from './contour-pass'
import { type AccessResult, cutterAccess } from './cutter-access'
import { facetBins } from './drop-at'
import { type ExtendedFace, extendFace } from './extend-face'
import { polylineTime_s } from './machining-time'
import { mouldSolid } from './mould-solid'
import { type Passes, rasterPasses } from './raster-pass'
import { roughing } from './roughing'
import { stepOverFlat_mm } from './scallop'
import { chooseStepOver, RASTER_COSINE } from './step-over'
import { stockPlan } from './stock'
import { type SurfaceSamples, surfaceSamples } from './surface-samples'
import type { ToolClass } from './tool-class'
import { isMale, toolFace, toToolAxes } from './tool-face'
import type { CutterAccess, DatumMark, Range, TimePart, ToolingSettings, ToolingShell, ToolPlan } from './types'

/** One sample for so much face, mm²; facets of our own shells are larger only on the crown. */
const SAMPLE_MM2 = 40

export interface ToolRequest {
  readonly shell: ToolingShell
  readonly made: ToolClass
  readonly settings: ToolingSettings
}

/** @throws Refused `shape-impossible`, `setting-impossible` */
export function* planTool({ shell, made, settings }: ToolRequest): Steps<ToolPlan> {
  const matrix = toToolAxes(shell.role, made, settings.shrinkage)
  const face = yield* within(0, 0.01, 'face', toolFace(shell.face, matrix))
  const extended = yield* within(
    0.01,
    0.03,
    'flange',
    extendFace(face, {
      beyond_mm: settings.beyondTrim_mm,
      foldRadius_mm: settings.foldRadius_mm,
      flange_mm: settings.flange_mm,
    }),
  )
  const solid = yield* within(
    0.03,
    0.1,
    'solid',
    mouldSolid(extended, {
      base_mm: settings.base_mm,
      sideDraft_deg: settings.sideDraft_deg,
      wall_mm: settings.construction === 'shell' ? settings.wall_mm : null,
    }),
  )
  const stock = yield* within(
    0.1,
    0.25,
    'boards',
    stockPlan({
      made: solid,
      board: settings.board,
      allowance_mm: settings.board.allowance_mm,
      travel_mm: settings.machine.travel_mm,
      edge: edgeOf(face, shell.edge),
    }),
  )
  const finishing = settings.cutters.filter((c) => c.use === 'finish')
  const first = finishing[0]!
  const contact = yield* within(0.25, 0.28, 'cutters', contactMesh(extended.mesh))
  const bins = yield* within(0.28, 0.3, 'cutters', facetBins(extended.mesh, contact))
  const samples = yield* within(0.3, 0.31, 'cutters', surfaceSamples(face, SAMPLE_MM2))
  const access = yield* within(
    0.31,
    0.55,
    'cutters',
    cutterAccess({ contact, bins, samples, cutters: finishing, leftLimit_mm: settings.leftLimit_mm }),
  )
  const left = yield* reachFromOtherSides(extended.mesh, samples, access, settings)
  const all = yield* within(0.55, 0.56, 'passes', surfaceSamples(extended.mesh, 1e9))
  const step = yield* within(
    0.56,
    0.58,
    'passes',
    chooseStepOver(extended.mesh, all, first.cornerRadius_mm, settings.scallop_mm, 'x'),
  )
  const box = bounds(extended.mesh)
  const raster = yield* within(
    0.58,
    0.85,
    'passes',
    rasterPasses({
      contact,
      bins,
      cutter: first,
      min: [box.min[0], box.min[1]],
      max: [box.max[0], box.max[1]],
      along: 'x',
      stepOver_mm: step.stepOver_mm,
      within: planOf(extended.mesh, extended.outer),
    }),
  )
  const contour = yield* within(
    0.85,
    0.97,
    'passes',
    contourPasses({
      bins,
      cutter: first,
      ...thinned(access.steps[0]!.grid, access.steps[0]!.tip),
      levels_mm: contourLevels(all, first.cornerRadius_mm, settings.scallop_mm),
      leastSlope: LEAST_SLOPE,
    }),
  )
  const rougher = settings.cutters.find((c) => c.use === 'rough')!
  const rough = yield* within(
    0.97,
    1,
    'roughing',
    roughing({ made: solid, stock, ...rougher, layerChange_s: LAYER_CHANGE_S }),
  )
  let area = 0
  for (let s = 0; s < all.count; s++) area += all.area_mm2[s]!
  let moulded = 0
  for (let s = 0; s < samples.count; s++) moulded += samples.area_mm2[s]!
  const time_h = times(settings, {
    raster,
    contour,
    rough_s: rough.time_s,
    access,
    area,
    sections: stock.sections.length,
  })
  const total_h = sum(time_h)
  const hand = time_h.find((part) => part.name === HAND)!
  const boardCost = stock.boards * settings.board.cost
  const costOf = (key: keyof Range) =>
    (total_h[key] - hand[key]) * settings.machine.cost_h + hand[key] * settings.hand.cost_h + boardCost
  return {
    role: shell.role,
    made,
    male: isMale(shell.role, made),
    matrix,
    solid: solid.solid,
    volume_mm3: solid.volume_mm3,
    mass_kg: (solid.volume_mm3 * settings.board.density_kg_m3) / 1e9,
    footprint_mm: solid.footprint_mm,
    area_mm2: area,
    mouldedArea_mm2: moulded,
    trim: lineOf(extended.mesh, extended.trim),
    narrowestFlange_mm: extended.narrowest_mm,
    marks: datumMarks(extended),
    stock,
    cutters: access.steps.map((a): CutterAccess => describeAccess(a, samples, matrix)),
    left: facetField(shell.face, facetMost(shell.face, samples, left), 'mm'),
    stepOver_mm: step.stepOver_mm,
    scallop_mm: step.scallop_mm,
    raster,
    contour,
    passLength_mm: passLength_mm(raster) + passLength_mm(contour),
    roughed_mm3: rough.removed_mm3,
    time_h,
    total_h,
    cost: { low: costOf('low'), likely: costOf('likely'), high: costOf('high') },
  }
}

/** Each tool is planned on its own, so that two can be planned at once. */
export const PLAN_TOOL = { name: 'planTool', run: planTool } as const

const LAYER_CHANGE_S = 20
/** Rise over run of 40 degrees, where level passes take over. */
const LEAST_SLOPE = Math.sqrt(1 - RASTER_COSINE * RASTER_COSINE) / RASTER_COSINE
const HAND = 'finishing by hand'

function edgeOf(face: Mesh<'part'>, edge: Uint8Array): Mesh<'part'> | null {
  const kept: number[] = []
  for (let f = 0; f < edge.length; f++)
    if (edge[f]) kept.push(face.indices[3 * f]!, face.indices[3 * f + 1]!, face.indices[3 * f + 2]!)
  return kept.length > 0 ? makeMesh('part', face.positions, Uint32Array.from(kept)) : null
}

/** The further set-ups that the job asks for: the tool is turned so that each direction points along the spindle. */
function* reachFromOtherSides(
  mesh: Mesh<'part'>,
  samples: SurfaceSamples,
  access: AccessResult,
  settings: ToolingSettings,
): Steps<Float32Array> {
  const left = access.normal_mm.slice()
  const finishing = settings.cutters.filter((c) => c.use === 'finish')
  for (const direction of settings.directions) {
    const m = turnOnto(direction)
    const turned = { ...mesh, positions: mesh.positions.slice() }
    const p = turned.positions
    for (let v = 0; v < p.length; v += 3) {
      const [x, y, z] = [p[v]!, p[v + 1]!, p[v + 2]!]
      for (let k = 0; k < 3; k++) p[v + k] = m[3 * k]! * x + m[3 * k + 1]! * y + m[3 * k + 2]! * z
    }
    const number: number[] = []
    for (let s = 0; s < samples.count; s++) {
      const n = 3 * samples.facet[s]!
      const towards = m[6]! * samples.normal[n]! + m[7]! * samples.normal[n + 1]! + m[8]! * samples.normal[n + 2]!
      // From behind a face is not reached, and what is clean already needs no second look.
      if (towards > 1e-6 && left[s]! > settings.leftLimit_mm) number.push(s)
    }
    if (number.length === 0) continue
    const place = new Float64Array(3 * number.length)
    const normal = new Float64Array(3 * number.length)
    number.forEach((s, i) => {
      const n = 3 * samples.facet[s]!
      for (let k = 0; k < 3; k++)
        for (let c = 0; c < 3; c++) {
          place[3 * i + k]! += m[3 * k + c]! * samples.place[3 * s + c]!
          normal[3 * i + k]! += m[3 * k + c]! * samples.normal[n + c]!
        }
    })
    const some: SurfaceSamples = {
      count: number.length,
      place,
      normal,
      facet: Uint32Array.from(number, (_, i) => i),
      area_mm2: Float64Array.from(number, (s) => samples.area_mm2[s]!),
    }
    const contact = yield* within(0.55, 0.55, 'set-ups', contactMesh(turned))
    const bins = yield* within(0.55, 0.55, 'set-ups', facetBins(turned, contact))
    const found = yield* within(
      0.55,
      0.55,
      'set-ups',
      cutterAccess({ contact, bins, samples: some, cutters: finishing, leftLimit_mm: settings.leftLimit_mm }),
    )
    number.forEach((s, i) => {
      left[s] = Math.min(left[s]!, found.normal_mm[i]!)
    })
  }
  return left
}

/** Rotation, row by row, that turns a direction on to +z. */
function turnOnto([x, y, z]: readonly [number, number, number]): number[] {
  const l = Math.sqrt(x * x + y * y + z * z) || 1
  const d = [x / l, y / l, z / l] as const
  const side = Math.abs(d[0]) < 0.9 ? ([1, 0, 0] as const) : ([0, 1, 0] as const)
  const dot = side[0] * d[0] + side[1] * d[1]
  const u = [side[0] - dot * d[0], side[1] - dot * d[1], -dot * d[2]] as const
  const lu = Math.sqrt(u[0] * u[0] + u[1] * u[1] + u[2] * u[2])
  const a = [u[0] / lu, u[1] / lu, u[2] / lu] as const
  const b = [d[1] * a[2] - d[2] * a[1], d[2] * a[0] - d[0] * a[2], d[0] * a[1] - d[1] * a[0]] as const
  return [...a, ...b, ...d]
}

/** Every third point of a grid, for contours. */
function thinned(grid: AccessResult['steps'][number]['grid'], tip: Float64Array) {
  const every = 3
  const nx = Math.floor((grid.nx - 1) / every) + 1
  const ny = Math.floor((grid.ny - 1) / every) + 1
  const out = new Float64Array(nx * ny)
  for (let j = 0; j < ny; j++) for (let i = 0; i < nx; i++) out[j * nx + i] = tip[j * every * grid.nx + i * every]!
  return { grid: { x0: grid.x0, y0: grid.y0, h: grid.h * every, nx, ny }, tip: out }
}

/** Heights of the tip at which level passes run over all that is too steep for passes side by side. */
function contourLevels(samples: SurfaceSamples, r: number, scallop_mm: number): number[] {
  let low = Infinity
  let high = -Infinity
  for (let s = 0; s < samples.count; s++) {
    const nz = samples.normal[3 * samples.facet[s]! + 2]!
    if (nz >= RASTER_COSINE) continue
    const tip = samples.place[3 * s + 2]! + r * (nz - 1)
    low = Math.min(low, tip)
    high = Math.max(high, tip)
  }
  if (!(high > low)) return []
  // On a wall the step down is the step over; on the fillet it is a little finer than it need be.
  const step = stepOverFlat_mm(r, scallop_mm)
  const count = Math.max(1, Math.ceil((high - low) / step))
  return Array.from({ length: count }, (_, k) => high - ((k + 0.5) * (high - low)) / count)
}

const planOf = (mesh: Mesh, loop: Uint32Array): Float64Array =>
  Float64Array.from({ length: 2 * loop.length }, (_, i) => mesh.positions[3 * loop[i >> 1]! + (i % 2)]!)

const lineOf = (mesh: Mesh, loop: Uint32Array): Float32Array =>
  Float32Array.from({ length: 3 * loop.length }, (_, i) => mesh.positions[3 * loop[Math.floor(i / 3)]! + (i % 3)]!)

/** Seats for balls on the middle of the flange, three on the axes and one that keeps the tool from being turned by mistake. */
function datumMarks({ mesh, inner, outer }: ExtendedFace): DatumMark[] {
  const p = mesh.positions
  const middle = (k: number): [number, number, number] => {
    const [a, b] = [3 * inner[k]!, 3 * outer[k]!]
    return [(p[a]! + p[b]!) / 2, (p[a + 1]! + p[b + 1]!) / 2, (p[a + 2]! + p[b + 2]!) / 2]
  }
  const wanted: readonly (readonly [string, number, number])[] = [
    ['A fore', 1, 0],
    ['B aft', -1, 0],
    ['C port', 0, 1],
    ['D key', 0.5, -1],
  ]
  return wanted.map(([name, x, y]) => {
    let best = 0
    let most = -Infinity
    for (let k = 0; k < outer.length; k++) {
      const m = middle(k)
      // Towards the direction, and near its line through the origin.
      const value = m[0] * x + m[1] * y - 0.5 * Math.abs(m[0] * y - m[1] * x)
      if (value > most) {
        most = value
        best = k
      }
    }
    return { name, at: middle(best), ball_mm: DATUM_BALL_MM }
  })
}

const DATUM_BALL_MM = 20

function describeAccess(
  a: AccessResult['steps'][number],
  samples: SurfaceSamples,
  matrix: readonly number[],
): CutterAccess {
  // Back into job axes: the matrix has only its diagonal.
  const back = (p: ArrayLike<number>, at: number): [number, number, number] => [
    p[at]! / matrix[0]!,
    p[at + 1]! / matrix[5]!,
    p[at + 2]! / matrix[10]!,
  ]
  return {
    name: a.cutter.name,
    diameter_mm: a.cutter.diameter_mm,
    cornerRadius_mm: a.cutter.cornerRadius_mm,
    left_mm2: a.left_mm2,
    deepest_mm: a.deepest_mm,
    deepestZ_mm: a.deepestZ_mm,
    deepestAt: a.deepest < 0 ? null : back(samples.place, 3 * a.deepest),
    measured: a.measured,
    estimated: a.estimated,
    neededStickOut_mm: a.neededStickOut_mm,
    stickOut_mm: a.cutter.stickOut_mm,
    holderTouches_mm2: a.holderTouches_mm2,
    holderAt: a.neededAt ? back(a.neededAt, 0) : null,
  }
}

function facetMost(face: Mesh, samples: SurfaceSamples, depth: Float32Array): Float32Array {
  const out = new Float32Array(facetCount(face)).fill(Number.NaN)
  for (let s = 0; s < samples.count; s++) {
    const f = samples.facet[s]!
    if (!(out[f]! >= depth[s]!)) out[f] = depth[s]!
  }
  return out
}

function passLength_mm({ points, start }: Passes): number {
  let length = 0
  for (let s = 0; s + 1 < start.length; s++)
    for (let k = 3 * start[s]!; k + 5 < 3 * start[s + 1]!; k += 3)
      length += Math.sqrt(
        square(points[k + 3]! - points[k]!) +
          square(points[k + 4]! - points[k + 1]!) +
          square(points[k + 5]! - points[k + 2]!),
      )
  return length
}

interface TimeInput {
  readonly raster: Passes
  readonly contour: Passes
  readonly rough_s: number
  readonly access: AccessResult
  readonly area: number
  readonly sections: number
}

function times(settings: ToolingSettings, t: TimeInput): TimePart[] {
  const { machine, timeFactors, hand } = settings
  const finishing = settings.cutters.filter((c) => c.use === 'finish')
  const [low, likely, high] = timeFactors
  const part = (name: string, seconds: number, spread = true): TimePart => ({
    name,
    low: ((spread ? low : 0.8) * seconds) / 3600,
    likely: ((spread ? likely : 1) * seconds) / 3600,
    high: ((spread ? high : 1.6) * seconds) / 3600,
  })
  const motion = { acceleration_mm_s2: machine.acceleration_mm_s2 }
  const cutting = (passes: Passes, feed_mm_min: number) => {
    let s = 0
    for (let k = 0; k + 1 < passes.start.length; k++)
      s += polylineTime_s(passes.points, feed_mm_min / 60, motion, passes.start[k]!, passes.start[k + 1]!)
    return s
  }
  // What the first finishing cutter leaves is gone over with the next, at its own step-over, twice its area for the run in.
  let restCut = 0
  for (let c = 1; c < finishing.length; c++) {
    const before = t.access.steps[c - 1]
    const cutter = finishing[c]!
    if (!before || before.left_mm2 <= 0 || !t.access.steps[c]) continue
    const step =
      cutter.cornerRadius_mm > 0 ? stepOverFlat_mm(cutter.cornerRadius_mm, settings.scallop_mm) : cutter.width_mm
    restCut += (2 * 60 * before.left_mm2) / (step * cutter.feed_mm_min)
  }
  const used = 1 + t.access.steps.length
  return [
    part('setting up', machine.setup_h * 3600 * t.sections, false),
    part('roughing', t.rough_s),
    part('finishing, passes side by side', cutting(t.raster, finishing[0]!.feed_mm_min)),
    part('finishing, level passes on walls', cutting(t.contour, finishing[0]!.feed_mm_min)),
    part('left-over with smaller cutters', restCut),
    part(
      'moves between passes',
      linking_s(t.raster, machine.rapid_mm_min) + linking_s(t.contour, machine.rapid_mm_min),
    ),
    part('tool changes', machine.toolChange_s * used * t.sections),
    part(HAND, (hand.h_m2 * 3600 * t.area) / 1e6, false),
  ]
}

/** Up 30 mm, over, and down again to the next pass, at rapid, with half a second of ramps. */
function linking_s({ points, start }: Passes, rapid_mm_min: number): number {
  let s = 0
  for (let k = 1; k + 1 < start.length; k++) {
    const [a, b] = [3 * (start[k]! - 1), 3 * start[k]!]
    const over = Math.sqrt(square(points[b]! - points[a]!) + square(points[b + 1]! - points[a + 1]!))
    const down = Math.abs(points[b + 2]! - points[a + 2]!)
    s += (60 * (over + down + 60)) / rapid_mm_min + 0.5
  }
  return s
}

export function sum(parts: readonly Range[]): Range {
  return {
    low: parts.reduce((t, p) => t + p.low, 0),
    likely: parts.reduce((t, p) => t + p.likely, 0),
    high: parts.reduce((t, p) => t + p.high, 0),
  }
}
