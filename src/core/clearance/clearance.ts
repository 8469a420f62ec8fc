import { UP } from '../geometry/axes'
import { type Steps, within } from '../geometry/kernel'
import { turnedOver } from '../geometry/mesh'
import { buildTriangleTree } from '../geometry/triangle-tree'
import { Refused } from '../geometry/trouble'
import { bossOffer } from './boss-offer'
import { certify } from './certificate'
import { crownAgain, leastConcaveRadius } from './crown'
import { bossesMade, isPlain } from './dress'
import type { EdgeRows } from './edge'
import { facetGaps } from './facet-gaps'
import { clearanceFindings } from './findings'
import { laminate } from './laminate'
import { lift } from './lift'
import { localEdgeRadii } from './outline'
import { closedPolygon, pushOut } from './plan-curve'
import { fillPolygon } from './plan-grid'
import { checkSettings } from './settings'
import { type ShellFace, shellFace } from './shell'
import { topsideForm } from './topside'
import type { ClearanceRequest, DrawnShells, Shell } from './types'
import { sheetObstacle, sheetOptions, type UndersideForm, undersideForm, undersideRows, withSheet } from './underside'
import { drainingCamber, waterAtTrims } from './water-trims'

/** Spacing of the crown's mesh; the sheet is solved finer. At 8 mm the margin was the same and all else three times slower. */
const MESH_STEP_MM = 16
/** Rounds of measure and lift; one clears nearly all, a second was needed for single facets. */
const MOST_LIFTS = 8
/** From the second round on, a lack below this moves the whole sheet up. */
const SHIFT_MM = 0.15
/** How far beyond what is asked the certificate gives exact distances. */
export const EXACT_MM = 3
/** How far the gap map reaches; its scale ends at 80 mm. */
export const MAP_MM = 100
/** A gap of 0 without noise would leave the obstacle without thickness. */
export const LEAST_GUARD_MM = 0.02

/**
 * From the frame to both shells and the certificate of the inner surface.
 *
 * The inner surface is built to gap + U (U = coverage · noise, the expanded uncertainty of the scan), measured facet by facet
 * against the frame, and lifted or moved out where it falls short, until every facet is proven or the rounds are used up; then
 * the certificate says so.
 *
 * @throws Refused `setting-impossible`, `shape-impossible`, `mesh-empty`
 * @example const { underside, certificate } = drain(drawShells({ frame, rimVertex, unseenFacet: null, noise_mm: 0.3, settings: CLEARANCE_DEFAULTS, facetGap_mm: null }))
 */
export function* drawShells(request: ClearanceRequest): Steps<DrawnShells> {
  const { frame, rimVertex, settings } = request
  checkSettings(settings)
  if (frame.indices.length === 0)
    throw new Refused('mesh-empty', 'clearance: the frame has no facet; load a scan first.')
  const gap = request.facetGap_mm ?? settings.gap_mm
  const largestGap_mm = largestOf(gap)
  const guard_mm = Math.max(settings.coverage * request.noise_mm, LEAST_GUARD_MM)

  const first = yield* within(
    0,
    0.4,
    'surface',
    undersideForm({ frame, rimVertex, gap, largestGap_mm, guard_mm, settings, bearing: request.bearing ?? [] }),
  )
  const frameTree = yield* within(0.4, 0.45, 'search tree', buildTriangleTree(frame))
  const built = yield* within(
    0.45,
    0.75,
    'lift',
    liftUntilProven(first, frameTree, gap, largestGap_mm + guard_mm, guard_mm),
  )
  const { form, face, edge, lifts } = built

  const { grid } = form
  // Built looking down, for the laminate that lies above it; handed on looking up, as every moulded face is.
  const moulded = turnedOver(face.mesh)
  const certificate = yield* within(
    0.75,
    0.85,
    'certificate',
    certify({
      face: moulded,
      frame,
      rimVertex,
      unseenFacet: request.unseenFacet,
      gap,
      guard_mm,
      limit_mm: largestGap_mm + guard_mm + EXACT_MM,
      map_mm: MAP_MM,
      lift: {
        obstacle: { nx: grid.nx, ny: grid.ny, x0: grid.x0, y0: grid.y0, h: grid.h, height: form.obstacle },
        sheet: form.crown.height,
        contact: form.crown.contact,
      },
    }),
  )
  const top = yield* within(0.85, 0.93, 'topside', topsideForm(form, edge, MESH_STEP_MM))
  const underside: Shell = {
    face: moulded,
    zone: face.zone,
    solid: yield* within(0.93, 0.97, 'solids', laminate(face, settings.underside_mm, 'down')),
    thickness_mm: settings.underside_mm,
    pull: UP,
  }
  const topside: Shell = {
    face: top.face.mesh,
    zone: top.face.zone,
    solid: yield* within(0.97, 1, 'solids', laminate(top.face, settings.topside_mm, 'up')),
    thickness_mm: settings.topside_mm,
    pull: UP,
  }
  const water = waterAtTrims(top.grid, top.height, top.inside, settings.trims)
  const drain = water.some((w) => w.ponds.length > 0) ? yield* within(1, 1, 'camber', drainingCamber(form)) : null
  const bosses = bossesMade(form)
  const offer = yield* within(1, 1, 'bosses', bossOffer(form))
  const inside = fillPolygon(grid, form.curve.x, form.curve.y)
  const leastConcaveRadius_mm = Math.min(
    leastConcaveRadius(grid, form.base.height, inside, Math.max(1, Math.round(MESH_STEP_MM / grid.h))),
    form.dressed.leastRadius_mm,
  )
  return {
    underside,
    topside,
    outline: closedPolygon(form.curve),
    outlineHeight_mm: form.reference_mm,
    certificate,
    leastConcaveRadius_mm,
    lifts,
    water,
    bosses,
    findings: clearanceFindings({
      request,
      form,
      edge,
      certificate,
      lifts,
      leastConcaveRadius_mm,
      water,
      drain,
      bosses,
      offer,
      face: moulded,
    }),
  }
}

/** The largest gap that is asked anywhere, mm. */
export function largestOf(gap: number | Float32Array): number {
  if (typeof gap === 'number') return gap
  let largest = 0
  for (const g of gap) if (g > largest) largest = g
  return largest
}

interface Built {
  readonly form: UndersideForm
  readonly face: ShellFace
  readonly edge: EdgeRows
  readonly lifts: number
}

function* liftUntilProven(
  first: UndersideForm,
  frameTree: Parameters<typeof facetGaps>[1],
  gap: number | Float32Array,
  limit_mm: number,
  least_mm: number,
): Steps<Built> {
  let form = first
  let raised = first.obstacle
  for (let lifts = 0; ; lifts++) {
    const from = Math.min(0.9, 0.3 * lifts)
    const edge = undersideRows(form)
    const { curve, grid, settings } = form
    const face = yield* within(
      from,
      from + 0.1,
      'mesh',
      shellFace({
        curve,
        edge,
        grid,
        height: form.crown.height,
        fine: isPlain(form.dressing) ? null : form.dressed.fine,
        meshStep_mm: MESH_STEP_MM,
        facing: 'down',
        draft_deg: settings.draft_deg,
      }),
    )
    const tree = yield* within(from + 0.1, from + 0.12, 'mesh', buildTriangleTree(face.mesh))
    const gaps = yield* within(from + 0.12, from + 0.25, 'distances', facetGaps(tree, frameTree, gap, limit_mm + 1e-6))
    const need = lift(face, gaps, least_mm, grid, form.crown.height, raised)
    if (need.facets === 0 || lifts === MOST_LIFTS) return { form, face, edge, lifts }
    if (need.push_mm > 0) {
      const moved = pushOut(curve, need.push_mm)
      form = {
        ...form,
        curve: moved,
        radius_mm: localEdgeRadii(moved, settings.edgeRadius_mm),
        pushed_mm: form.pushed_mm + need.push_mm,
      }
    }
    if (need.up_mm === 0) continue
    if (lifts > 0 && need.up_mm < SHIFT_MM) {
      // Solved again, the sheet would settle a little elsewhere and ask for one more round; moved as a whole it cannot.
      const up = (z: number) => z + need.up_mm
      form = {
        ...form,
        base: { ...form.base, height: form.base.height.map(up) },
        crown: { ...form.crown, height: form.crown.height.map(up) },
      }
      continue
    }
    raised = need.obstacle
    const inside = fillPolygon(grid, form.curve.x, form.curve.y)
    const sheet = yield* within(
      from + 0.25,
      from + 0.3,
      'lift',
      crownAgain(form.base, sheetOptions(settings, grid, sheetObstacle(form, raised), inside)),
    )
    form = withSheet(form, sheet, raised, inside)
  }
}
