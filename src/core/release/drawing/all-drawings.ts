/** Every drawing that the results allow, by the name of its file. */

import { type Steps, within } from '../../geometry/kernel'
import type { Job } from '../../job'
import { roundedDown } from '../rounded-down'
import type { ReleaseResults } from '../types'
import { boardSheet, passSheet } from './board-sheets'
import { cureGraph } from './cure-graph'
import type { Drawing, Ink } from './drawing'
import type { Bands } from './field-plan'
import { flatSheet } from './flat-sheet'
import { gapGraph } from './gap-graph'
import { mapSheet } from './map-sheet'
import { closestSheet, planSheet, profileSheet, stationSheet, stationsOf } from './sheets'
import { costSheet, setupSheet } from './tool-sheets'

export interface NamedDrawing {
  /** `plan`, `section-3`: the file is `drawing-<name>.svg`. */
  readonly name: string
  readonly drawing: Drawing
}

/** Dark to light, even to the eye and safe for the colour-blind. */
const DARK_TO_LIGHT: readonly Ink[] = ['#0b2c56', '#3f4c6b', '#6b6d73', '#96906f', '#c5b567', '#fbe6a2']
/** Below the limit, at it, above it. */
const DIVERGING: readonly Ink[] = ['#a65437', '#dca885', '#efe9db', '#a9c3d6', '#4f86b0']

const rising = (ends: readonly number[], bad: number): Bands => ({
  ends,
  inks: DARK_TO_LIGHT.slice(0, ends.length + 1),
  hatched: Array.from({ length: ends.length + 1 }, (_, i) => i < bad),
})

export function* allDrawings(job: Job, results: ReleaseResults): Steps<NamedDrawing[]> {
  const all: NamedDrawing[] = []
  const add = (name: string, drawing: Drawing | null) => {
    if (drawing) all.push({ name, drawing })
  }
  const stations = stationsOf(results)
  add('plan', planSheet(results, stations))
  add('profile', yield* within(0, 0.15, 'profile', profileSheet(results)))
  const middle = stations[Math.floor(stations.length / 2)]
  if (middle !== undefined) add('body', yield* within(0.15, 0.2, 'body', stationSheet(results, middle)))
  for (const [i, x] of stations.entries())
    add(
      `section-${i + 1}`,
      yield* within(0.2 + 0.04 * i, 0.24 + 0.04 * i, 'sections', stationSheet(results, x, WIDE_HALF, false)),
    )
  add('closest', yield* within(0.4, 0.45, 'closest place', closestSheet(results)))
  const { clearance, analysis, datum, build } = results
  for (const [i, tube] of (clearance?.bearing ?? []).entries()) add(`bearing-${i + 1}`, gapGraph(tube))
  if (clearance) {
    const { certificate, underside } = clearance
    const need = certificate.required_mm
    const levels = [need, need + certificate.guard_mm, 2 * need + 1, 4 * need + 4, 6 * need + 8]
    const gap = { title: 'Gap between inner surface and frame', unit: 'mm', digits: 1, low: '0', high: 'more' }
    const mark = { at: certificate.at.shell, text: `${roundedDown(certificate.min_mm, 1).toFixed(1)} mm` }
    add(
      'map-gap',
      yield* within(
        0.45,
        0.6,
        'gap map',
        mapSheet(underside.face, certificate.gap.values, rising(levels, 1), gap, mark, levels.slice(2)),
      ),
    )
  }
  for (const [i, part] of (analysis?.parts ?? []).entries()) {
    const shell = part.name === 'underside' ? clearance?.underside : clearance?.topside
    if (!shell || part.draft.meshId !== shell.face.id) continue
    const limit = part.check.draft.limit_deg
    const bands = rising([0, limit, limit + 7, 30, 60], 2)
    const text = { title: `Draft of the ${part.name}`, unit: '°', digits: 1, low: '−90', high: '90' }
    const mark = { at: part.check.draft.minAt, text: `least ${part.check.draft.min_deg.toFixed(2)}°` }
    add(
      `map-draft-${part.name}`,
      yield* within(
        0.6 + 0.1 * i,
        0.7 + 0.1 * i,
        text.title,
        mapSheet(shell.face, part.draft.values, bands, text, mark),
      ),
    )
  }
  if (datum) {
    const far = Math.max(0.1, datum.symmetry.p95_mm)
    const bands: Bands = {
      ends: [-far, -far / 3, far / 3, far],
      inks: DIVERGING,
      hatched: [true, false, false, false, true],
    }
    const text = { title: 'Mirror error of the frame', unit: 'mm', digits: 1, low: 'inside', high: 'outside' }
    const mark = { at: datum.symmetry.maxAt, text: `largest ${datum.symmetry.max_mm.toFixed(1)} mm` }
    add(
      'map-mirror',
      yield* within(0.8, 0.9, text.title, mapSheet(datum.mesh, datum.symmetryField.values, bands, text, mark)),
    )
  }
  for (const plan of build?.infusion ?? []) {
    const face = clearance?.[plan.name].face
    if (job.build.process !== 'infusion' || !face || plan.arrival.meshId !== face.id) continue
    const [, likely] = plan.fill_min
    const ends = [0.1, 0.25, 0.5, 0.75, 0.9].map((s) => s * likely)
    const text = {
      title: `Filling of the ${plan.name}: when the resin comes`,
      unit: 'min',
      digits: 1,
      low: '0',
      high: 'last',
    }
    const mark = { at: plan.lastAt, text: 'last' }
    const bands: Bands = { ends, inks: [...DARK_TO_LIGHT].reverse(), hatched: ends.map(() => false).concat(true) }
    add(
      `map-filling-${plan.name}`,
      yield* within(0.9, 1, text.title, mapSheet(face, plan.arrival.values, bands, text, mark)),
    )
  }
  for (const shell of ['underside', 'topside'] as const) add(`flat-${shell}`, flatSheet(build?.flats ?? [], shell))
  add('cure', cureGraph(build?.cure ?? []))
  if (results.tooling) {
    add('tool-cost', costSheet(results.tooling))
    for (const tool of results.tooling.tools) {
      add(`tool-${tool.role}-set-up`, setupSheet(tool))
      add(`boards-${tool.role}`, boardSheet(tool))
      add(`passes-${tool.role}`, passSheet(tool))
      yield { fraction: 1, label: 'tools' }
    }
  }
  return all
}

/** Two sections side by side on a page. */
const WIDE_HALF = 86
