/** Which map lies on which part for the question that is asked, with its scale, its limit and the class of every facet. */
import type { MovedSurface, PullStudy } from '../../core/analysis'
import type { AnalysisResult } from '../../core/analysis/types'
import { GEL_SHARE } from '../../core/build-plan/types'
import type { FlowResults } from '../../core/flow'
import type { Mesh } from '../../core/geometry/mesh'
import type { StepName } from '../../core/geometry/trouble'
import type { MetalLook } from '../../state/metal-look'
import type { MapName, MirrorShown, Question } from '../../state/session-store'
import { facetNormalsOf } from '../geometry/facet-data'
import type { PartName } from '../sheet-store'
import { areaByClass, classesBelow, FAILS, gapClasses, UNSEEN } from './facet-classes'
import { draftScale, fillingScale, gapScale, type MapScale, mirrorScale, radiusScale } from './map-scale'

export interface SheetMap {
  readonly name: Exclude<MapName, 'none' | 'lift'>
  readonly on: PartName | 'frame'
  readonly mesh: Mesh<'job'>
  /** One per facet; NaN: no answer. */
  readonly values: Float32Array
  readonly scale: MapScale
  /** False where only the classes are drawn. */
  readonly colours: boolean
  readonly unit: 'mm' | 'deg' | 'min'
  /** What the job asks; null: nothing is asked of this map. */
  readonly ownLimit: number | null
  /** What the legend's lead stands at. */
  readonly limit: number | null
  readonly classes: Uint8Array
  /** mm2: plain, fails, not proven, unseen. */
  readonly areas: readonly [number, number, number, number]
  /** Area below the limit that does not fail outright (draft between 0 and what is asked), mm2. */
  readonly low_mm2: number
}

/** The maps that one question offers, the first one by itself. The first three steps show the metal, plain but for the mirror error. */
export function mapsOf(
  question: Question,
  slip: StepName | null = null,
  mirrorShown: MirrorShown = 'image',
): readonly SheetMap['name'][] {
  if (slip === 'build') return ['filling']
  if (slip === 'scan' || slip === 'frame') return []
  if (slip === 'datum') return mirrorShown === 'error' ? ['mirror'] : []
  if (question === 'clear') return ['gap', 'metal', 'unseen', 'mirror']
  if (question === 'off') return ['draft', 'locked', 'radius']
  return []
}

export interface MapWish {
  /** The step whose slip is open: the build's shows the filling instead of the question's maps. */
  readonly slip: StepName | null
  readonly mirrorShown: MirrorShown
  readonly question: Question
  readonly map: MapName
  readonly part: PartName
  readonly limits: Readonly<Partial<Record<MapName, number>>>
  readonly minRadius_mm: number
  /** A pull that is tried out instead of the part's own. */
  readonly tried?: PullStudy | null
  /** The gap of every facet of the metal. */
  readonly metal?: MetalLook | null
  /** The shells against an earlier release. */
  readonly moved?: Readonly<Record<PartName, MovedSurface>> | null
}

/** The map asked for where the question offers it, else its first one. */
function chosenMap({ question, slip, mirrorShown, map }: MapWish): SheetMap['name'] | null {
  const offered = mapsOf(question, slip, mirrorShown)
  return offered.find((name) => name === map) ?? (map === 'none' ? null : (offered[0] ?? null))
}

/** Signed distance of what was made from the plan, with what lies outside the profile zone hatched. */
function madeMap({ analysis, clearance }: FlowResults, part: PartName): SheetMap | null {
  const face = clearance?.[part].face
  const made = analysis?.asMade.find((m) => m.against === part && m.made?.deviation.meshId === face?.id)?.made
  if (!face || !made) return null
  const half = made.tolerance_mm / 2
  return finish({
    name: 'made',
    on: part,
    mesh: face,
    values: made.deviation.values,
    scale: mirrorScale(Math.max(half, made.p95_mm)),
    colours: true,
    unit: 'mm',
    ownLimit: null,
    limit: null,
    classes: Uint8Array.from(made.deviation.values, (d) => (Math.abs(d) > half ? FAILS : 0)),
    low_mm2: 0,
  })
}

/** The gap seen from the metal. */
function metalMapOf({ datum, clearance }: FlowResults, { metal, limits }: MapWish): SheetMap | null {
  if (!datum || !clearance || !metal || metal.of !== `${clearance.underside.face.id} ${datum.mesh.id}`) return null
  const { required_mm } = clearance.certificate
  const dragged = limits.metal ?? null
  const { values } = metal.gap
  return finish({
    name: 'metal',
    on: 'frame',
    mesh: datum.mesh,
    values,
    scale: gapScale(required_mm, furthest(values)),
    colours: true,
    unit: 'mm',
    ownLimit: required_mm,
    limit: dragged ?? required_mm,
    // Where the limit is the job's own, each facet is held against its own gap.
    classes: dragged === null ? metal.fails : classesBelow(values, dragged),
    low_mm2: 0,
  })
}

/** How far the shell has moved since an earlier release; what was not there is dotted. */
function movedMap({ clearance }: FlowResults, part: PartName, look: MapWish['moved']): SheetMap | null {
  const face = clearance?.[part].face
  const against = look?.[part]
  if (!face || !against || against.moved.meshId !== face.id) return null
  return finish({
    name: 'moved',
    on: part,
    mesh: face,
    values: against.moved.values,
    scale: mirrorScale(Math.abs(against.most_mm)),
    colours: true,
    unit: 'mm',
    ownLimit: null,
    limit: null,
    classes: Uint8Array.from(against.moved.values, (d) => (Number.isNaN(d) ? UNSEEN : 0)),
    low_mm2: 0,
  })
}

/** Arrival of the resin, with what comes later than the gel allows hatched. */
function fillingMap({ build, clearance }: FlowResults, part: PartName): SheetMap | null {
  const plan = build?.infusion.find((i) => i.name === part)
  const face = clearance?.[part].face
  if (!plan || !face || plan.arrival.meshId !== face.id) return null
  const { values } = plan.arrival
  const allowed = GEL_SHARE * plan.gel_min
  return finish({
    name: 'filling',
    on: part,
    mesh: face,
    values,
    scale: fillingScale(plan.fill_min[1]),
    colours: true,
    unit: 'min',
    ownLimit: allowed,
    limit: allowed,
    classes: Uint8Array.from(values, (t) => (t > allowed ? FAILS : 0)),
    low_mm2: 0,
  })
}

export function sheetMap(results: FlowResults, wish: MapWish): SheetMap | null {
  if (wish.slip === 'build') return fillingMap(results, wish.part)
  if (wish.map === 'made' && wish.question === 'off') {
    const made = madeMap(results, wish.part)
    if (made) return made
  }
  if (wish.map === 'moved' && wish.question === 'off') {
    const moved = movedMap(results, wish.part, wish.moved)
    if (moved) return moved
  }
  const name = chosenMap(wish)
  if (name === null) return null
  const dragged = wish.limits[name] ?? null
  if (name === 'gap' || name === 'unseen') {
    const { clearance } = results
    if (!clearance) return null
    const { certificate, underside } = clearance
    const classes = gapClasses({
      gap_mm: certificate.gap.values,
      verdict: certificate.verdictOfFacet,
      guard_mm: certificate.guard_mm,
      limit_mm: name === 'gap' ? dragged : null,
    })
    return finish({
      name,
      on: 'underside',
      mesh: underside.face,
      values: certificate.gap.values,
      scale: gapScale(certificate.required_mm, furthest(certificate.gap.values)),
      colours: name === 'gap',
      unit: 'mm',
      ownLimit: certificate.required_mm,
      limit: name === 'gap' ? (dragged ?? certificate.required_mm) : certificate.required_mm,
      classes,
      low_mm2: 0,
    })
  }
  if (name === 'metal') return metalMapOf(results, wish)
  if (name === 'mirror') {
    const { datum } = results
    if (!datum) return null
    return finish({
      name,
      on: 'frame',
      mesh: datum.mesh,
      values: datum.symmetryField.values,
      scale: mirrorScale(datum.symmetry.p95_mm),
      colours: true,
      unit: 'mm',
      ownLimit: null,
      limit: null,
      classes: new Uint8Array(datum.symmetryField.values.length),
      low_mm2: 0,
    })
  }
  const shell = results.clearance?.[wish.part]
  const part = results.analysis?.parts.find((p) => p.name === wish.part)
  if (!shell || !part || part.draft.meshId !== shell.face.id) return null
  const { area_mm2 } = facetNormalsOf(shell.face)
  const common = { on: wish.part, mesh: shell.face } as const
  if (name === 'locked') {
    return finish({
      ...common,
      name,
      values: part.draft.values,
      scale: draftScale(part.check.draft.limit_deg),
      colours: false,
      unit: 'deg',
      ownLimit: null,
      limit: null,
      classes: Uint8Array.from(
        wish.tried?.meshId === shell.face.id ? wish.tried.undercutClass : part.undercutClass,
        (c) => (c > 0 ? FAILS : 0),
      ),
      low_mm2: 0,
    })
  }
  if (name === 'radius') {
    const asked = dragged ?? wish.minRadius_mm
    return finish({
      ...common,
      name,
      values: part.radius.values,
      scale: radiusScale(wish.minRadius_mm, part.check.radius.limit_mm),
      colours: true,
      unit: 'mm',
      ownLimit: wish.minRadius_mm,
      limit: asked,
      // A radius that is met to the last bit of a single is met.
      classes: classesBelow(part.radius.values, asked * (1 - 1e-6)),
      low_mm2: 0,
    })
  }
  const asked = dragged ?? part.check.draft.limit_deg
  const classes = classesBelow(part.draft.values, 0)
  const low_mm2 = part.draft.values.reduce(
    (sum, d, f) => (d >= 0 && d < asked - DRAFT_SLACK_DEG ? sum + area_mm2[f]! : sum),
    0,
  )
  return finish({
    ...common,
    name,
    values: part.draft.values,
    scale: draftScale(part.check.draft.limit_deg),
    colours: true,
    unit: 'deg',
    ownLimit: part.check.draft.limit_deg,
    limit: asked,
    classes,
    low_mm2,
  })
}

/** The largest distance that is known, mm: beyond what is proven exactly the certificate goes on for the map's sake. */
function furthest(gap_mm: Float32Array): number {
  let most = 0
  for (const gap of gap_mm) if (gap > most && gap < Infinity) most = gap
  return most
}

/** Walls are drawn at exactly the asked draft; a single's last bit must not paint them low. */
const DRAFT_SLACK_DEG = 1e-3

function finish(map: Omit<SheetMap, 'areas'>): SheetMap {
  return { ...map, areas: areaByClass(map.classes, facetNormalsOf(map.mesh).area_mm2) }
}

/** The shell with the larger locked area, then the one with the lesser draft; the topside where both are well. */
export function partInTrouble(analysis: AnalysisResult | null): PartName {
  const parts = analysis?.parts ?? []
  const underside = parts.find((p) => p.name === 'underside')?.check
  const topside = parts.find((p) => p.name === 'topside')?.check
  if (!underside || !topside) return 'topside'
  if (underside.undercut.area_mm2 !== topside.undercut.area_mm2)
    return underside.undercut.area_mm2 > topside.undercut.area_mm2 ? 'underside' : 'topside'
  const short = (c: typeof underside) => c.draft.min_deg < c.draft.limit_deg - DRAFT_SLACK_DEG
  return short(underside) && !short(topside) ? 'underside' : 'topside'
}
