/** `check MESH`: draft, undercut, mirror error and least radius of any mesh file. */
import { basename } from 'node:path'
import { parseArgs } from 'node:util'
import {
  analysePart,
  type Check,
  findSplit,
  fitMirrorPlane,
  meshNoise,
  type PullSearch,
  partFindings,
  pullSearch,
  type Split,
  type Thickness,
  thickness,
} from '../core/analysis'
import { drain } from '../core/geometry/kernel'
import { facetCount } from '../core/geometry/mesh'
import type { Finding } from '../core/geometry/trouble'
import { command, EXIT, parsed, usage } from './command'
import { joinValues, loadFile, numberOf, tripleOf } from './mesh-argument'

const HELP =
  'check MESH [--pull x,y,z] [--unit mm] [--mirror y] [--min-draft 2] [--min-radius 12] [--radius-limit MM] [--noise MM] [--search] [--split] [--thickness MM] [--json]'

/** Large radii cost time: 15 us a facet up to 200 mm, 5 us up to 50 mm. */
const SMALL_MESH = 200_000
const LIMIT_SMALL_mm = 200
const LIMIT_LARGE_mm = 50

await command(async (args) => {
  const { values, positionals } = parsed(
    () =>
      parseArgs({
        args: joinValues(args, ['--pull', '--min-draft']),
        allowPositionals: true,
        options: {
          pull: { type: 'string', default: '0,0,1' },
          unit: { type: 'string' },
          mirror: { type: 'string' },
          'min-draft': { type: 'string', default: '2' },
          'min-radius': { type: 'string', default: '12' },
          'radius-limit': { type: 'string' },
          noise: { type: 'string' },
          search: { type: 'boolean', default: false },
          split: { type: 'boolean', default: false },
          thickness: { type: 'string' },
          json: { type: 'boolean', default: false },
        },
      }),
    HELP,
  )
  const [path, ...extra] = positionals
  if (!path || extra.length > 0) throw usage(`One mesh file is needed. Usage: ${HELP}`)
  if (values.mirror !== undefined && !['x', 'y', 'z'].includes(values.mirror))
    throw usage(
      `--mirror takes y (or x or z), the axis across the mirror plane through 0; "${values.mirror}" is none of them.`,
    )
  const pull = tripleOf('--pull', values.pull)
  const minDraft_deg = numberOf('--min-draft', values['min-draft'])
  const minRadius_mm = numberOf('--min-radius', values['min-radius'], 0)
  const givenLimit =
    values['radius-limit'] === undefined ? null : numberOf('--radius-limit', values['radius-limit'], 1e-6)
  const givenNoise = values.noise === undefined ? null : numberOf('--noise', values.noise, 0)
  const mostThick = values.thickness === undefined ? null : numberOf('--thickness', values.thickness, 1e-6)

  const loaded = await loadFile(path, values.unit)
  const { mesh } = loaded
  const mirror =
    values.mirror === undefined
      ? drain(fitMirrorPlane(mesh)).plane
      : {
          normal: ([0, 1, 2] as const).map((k) => ('xyz'[k] === values.mirror ? 1 : 0)) as [number, number, number],
          offset_mm: 0,
        }
  const request = {
    name: basename(path),
    mesh,
    pull,
    minDraft_deg,
    mirror,
    radiusLimit_mm: givenLimit ?? (facetCount(mesh) <= SMALL_MESH ? LIMIT_SMALL_mm : LIMIT_LARGE_mm),
    minRadius_mm,
    noise_mm: givenNoise ?? drain(meshNoise(mesh)),
    mesh_summary: { unit: loaded.unit.unit, rejected: loaded.rejected },
  }
  const part = drain(analysePart(request))
  const findings = partFindings(request, part)
  const extras: Extras = {
    pulls: values.search ? drain(pullSearch(mesh, { around: part.check.draft.pull })) : null,
    split: values.split ? drain(findSplit(mesh, { pull: part.check.draft.pull, centreline: mirror })) : null,
    thickness: mostThick === null ? null : drain(thickness(mesh, mostThick, request.noise_mm)),
  }
  process.stdout.write(
    values.json
      ? `${JSON.stringify({ ...part.check, noise_mm: request.noise_mm, ...inJson(extras), findings })}\n`
      : `${table(part.check, request.noise_mm, extras, findings).join('\n')}\n`,
  )
  return EXIT.done
})

interface Extras {
  readonly pulls: PullSearch | null
  readonly split: Split | null
  readonly thickness: Thickness | null
}

/** Keys only for what was asked; no fields per facet or per direction. */
function inJson({ pulls, split, thickness }: Extras): object {
  return {
    ...(pulls && { pulls: { best: pulls.best, evaluated: pulls.evaluated, complete: pulls.complete } }),
    ...(split && { split }),
    ...(thickness && {
      thickness: {
        min_mm: thickness.min_mm,
        minAt: thickness.minAt,
        p01_mm: thickness.p01_mm,
        p50_mm: thickness.p50_mm,
        limit_mm: thickness.limit_mm,
      },
    }),
  }
}

function table(
  check: Check,
  noise_mm: number,
  { pulls, split, thickness }: Extras,
  findings: readonly Finding[],
): string[] {
  const { mesh, draft, undercut, symmetry, radius } = check
  const n = (value: number, digits = 3) => value.toFixed(digits)
  const at = (p: readonly number[]) => p.map((c) => n(c, 1)).join(', ')
  return [
    `mesh       ${mesh.facets} facets, ${mesh.vertices} vertices, unit ${mesh.unit}, ${mesh.closed ? 'closed' : 'open'}, ${mesh.islands} piece(s), ${mesh.boundaryLoops} rim(s), ${mesh.nonManifoldEdges} non-manifold edge(s), ${mesh.rejected.total} rejected; noise ${n(noise_mm)} mm`,
    `           area ${n(mesh.area_mm2, 1)} mm2${mesh.closed ? `, volume ${n(mesh.volume_mm3, 1)} mm3` : ''}`,
    `draft      least ${n(draft.min_deg)} deg at ${at(draft.minAt)}; negative ${n(draft.negative_mm2, 1)}, below ${draft.limit_deg} deg ${n(draft.low_mm2, 1)}, good ${n(draft.good_mm2, 1)} mm2`,
    `undercut   ${n(undercut.area_mm2, 1)} mm2: ${n(undercut.facingAway_mm2, 1)} faces away, ${n(undercut.blocked_mm2, 1)} blocked; locked ${n(undercut.depth_mm)} mm deep; ${undercut.regionCount} region(s); error at most ${n(undercut.bound_mm2)}, expected ${n(undercut.estimate_mm2)} mm2`,
    `symmetry   about ${at(symmetry.plane.normal)} at ${n(symmetry.plane.offset_mm)} mm: rms ${n(symmetry.rms_mm)}, p95 ${n(symmetry.p95_mm)}, max ${n(symmetry.max_mm)} mm at ${at(symmetry.maxAt)}`,
    `radius     least ${n(radius.min_mm)} mm at ${at(radius.minAt)} (known to ${n(radius.minDoubt_mm)}), 1 % of the area below ${n(radius.p01_mm)} mm; looked for up to ${n(radius.limit_mm, 1)} mm; ${radius.sharpInside.edges} sharp inside edge(s), ${n(radius.sharpInside.length_mm, 1)} mm`,
    ...(thickness
      ? [
          `thickness  least ${n(thickness.min_mm)} mm at ${at(thickness.minAt)}, 1 % of the area below ${n(thickness.p01_mm)}, median ${n(thickness.p50_mm)} mm; looked for up to ${n(thickness.limit_mm, 1)} mm`,
        ]
      : []),
    ...(pulls?.best ?? []).map(
      (b) =>
        `pull       ${b.pull.map((c) => n(c)).join(', ')} leaves ${n(b.locked_mm2, 1)} mm2 locked (${n(b.facingAway_mm2, 1)} faces away)`,
    ),
    ...(split
      ? [
          `split      across ${split.plane.normal.map((c) => n(c)).join(', ')} at ${n(split.plane.offset_mm)} mm: ${n(split.locked_mm2, 1)} mm2 stays locked (${n(split.lockedWhole_mm2, 1)} in one piece), pulls ${split.pulls.map((p) => p.map((c) => n(c)).join(', ')).join(' and ')}, parting line ${n(split.partingLine_mm, 1)} mm`,
        ]
      : []),
    ...findings.map((f) => `${f.severity.padEnd(10)} ${f.message}${f.advice ? ` ${f.advice}` : ''}`),
  ]
}
