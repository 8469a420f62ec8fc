/**
 * The owner's copy: one HTML file that opens from a disk, without a network, on a telephone. The shapes are thinned and
 * rounded to a 65,535th of their box for looking at; no figure is taken from them.
 */

import { eyePlace, type PlacedFitting } from '../../fitting'
import type { Steps } from '../../geometry/kernel'
import { bounds, type Mesh, vertexCount } from '../../geometry/mesh'
import { thinned } from '../../geometry/thin-mesh'
import { jobHash } from '../../job'
import type { PackPart } from '../parts'
import { wholeParts } from '../parts'
import { roundedDown } from '../rounded-down'
import type { ReleaseInput, Report } from '../types'
import { escaped } from '../writers/html'
import { base64 } from './base64'

/** Facets that each kind may keep; all together they stay well under 8 MB. */
const FACETS = { frame: 90_000, face: 60_000, fitting: 60_000 }
/** Largest file that is promised, bytes. */
export const OWNERS_LIMIT = 8_000_000

export interface OwnersInput extends Omit<ReleaseInput, 'timings_s'> {
  readonly report: Report
  /** The viewer: one script without imports (`assets/owner/viewer.js`). */
  readonly viewer: string
}

interface OwnersPart {
  readonly name: string
  readonly kind: string
  readonly colour: readonly number[]
  readonly min: readonly number[]
  readonly size: readonly number[]
  /** Unsigned 16-bit shares of the box, three per vertex, little endian, base64. */
  readonly positions: string
  /** 16 or 32 bits each. */
  readonly indices: string
  readonly wide: boolean
  readonly fitting: string | null
}

/** @throws a defect when the file would break its promise of size */
export function* ownersCopyHtml(input: OwnersInput): Steps<string> {
  const { job, report, results, viewer } = input
  const parts: OwnersPart[] = []
  const shown = shownParts(input)
  for (const [i, { part, fitting, keep }] of shown.entries()) {
    const mesh = yield* thinned(part.mesh, keep)
    if (mesh.indices.length > 0) parts.push(encoded(part, mesh, fitting))
    yield { fraction: (i + 1) / shown.length, label: part.name }
  }
  const data = {
    title: job.title,
    revision: job.release.revision,
    hash: jobHash(job),
    parts,
    fittings: (results.fitting?.placed ?? []).map((p) => ({
      id: p.id,
      name: p.twin ? `${p.name}, twin` : p.name,
      at: p.seat.at,
      comment: job.fittings.find((f) => f.id === p.id)?.comment ?? '',
      light: lightOf(input, p),
      top: bounds(p.mesh).max[2],
    })),
    comments: job.comments,
    eye: eyeOf(input),
    figures: figuresOf(report),
    cautions: [report.cautions[0] ?? ''],
  }
  // A script ends at the first end tag, wherever it stands.
  const json = JSON.stringify(data).replaceAll('<', '\\u003c')
  const html = PAGE.replace('%TITLE%', () => escaped(job.title))
    .replace('%DATA%', () => json)
    .replace('%VIEWER%', () => viewer.replaceAll('</script', '<\\/script'))
  if (html.length > OWNERS_LIMIT) throw new Error(`release: the owner's copy has ${html.length} bytes`)
  return html
}

function shownParts({ results }: OwnersInput): { part: PackPart; fitting: string | null; keep: number }[] {
  const { clearance, fitting } = results
  const whole = wholeParts(results)
  const fittings = whole.filter((p) => p.kind === 'fitting')
  const each = Math.max(400, Math.floor(FACETS.fitting / Math.max(1, fittings.length)))
  const frame = whole.filter((p) => p.kind === 'frame').map((part) => ({ part, fitting: null, keep: FACETS.frame }))
  // The faces alone: laminate a few millimetres thick would only flicker.
  const shells = (['underside', 'topside'] as const).flatMap((name) => {
    const shell = whole.find((p) => p.name === `${name} shell`)
    return clearance && shell
      ? [{ part: { ...shell, mesh: clearance[name].face }, fitting: null, keep: FACETS.face }]
      : []
  })
  const placed = fittings.map((part, i) => ({ part, fitting: fitting?.placed[i]?.id ?? null, keep: each }))
  return [...frame, ...shells, ...placed]
}

function encoded(part: PackPart, mesh: Mesh, fitting: string | null): OwnersPart {
  const { min, max } = bounds(mesh)
  const size = [0, 1, 2].map((k) => Math.max(1e-6, max[k]! - min[k]!))
  const n = vertexCount(mesh)
  const words = new Uint8Array(6 * n)
  const view = new DataView(words.buffer)
  for (let i = 0; i < 3 * n; i++) {
    const k = i % 3
    const share = (mesh.positions[i]! + mesh.origin[k]! - min[k]!) / size[k]!
    view.setUint16(2 * i, Math.round(Math.min(1, Math.max(0, share)) * 65_535), true)
  }
  const wide = n > 65_535
  const indices = new Uint8Array((wide ? 4 : 2) * mesh.indices.length)
  const put = new DataView(indices.buffer)
  for (const [i, v] of mesh.indices.entries()) wide ? put.setUint32(4 * i, v, true) : put.setUint16(2 * i, v, true)
  return {
    name: part.name,
    kind: part.kind,
    colour: part.colour,
    min: min.map(tenth),
    size: size.map((v) => Number(v.toFixed(4))),
    positions: base64(words),
    indices: base64(indices),
    wide,
    fitting,
  }
}

const tenth = (v: number): number => Number(v.toFixed(4))

interface OwnersLight {
  readonly kind: string
  readonly forward_deg: number
  /** Where it shines from, job axes, mm. */
  readonly at: readonly [number, number, number]
}

/** What a placed fitting shows: a navigation light as it was checked, its twin mirrored; or light on the deck. */
function lightOf({ job, results }: OwnersInput, placed: PlacedFitting): OwnersLight | null {
  const checked = results.fitting?.lights.find((l) => l.id === placed.id && l.twin === placed.twin)
  if (checked) return { kind: checked.kind, forward_deg: checked.forward_deg, at: checked.source }
  const light = job.fittings.find((f) => f.id === placed.id)?.light
  if (light?.kind !== 'deck') return null
  // Nobody asks where exactly it shines from: high in the body.
  const { at } = placed.seat
  return { kind: 'deck', forward_deg: 0, at: [at[0], at[1], at[2] + 0.75 * (bounds(placed.mesh).max[2] - at[2])] }
}

/** Where the helm's eyes are. */
const eyeOf = ({ job, results }: OwnersInput): readonly number[] =>
  eyePlace(
    job.people,
    job.people.deck_mm ?? results.fitting?.people.deck_mm ?? null,
    results.clearance ? bounds(results.clearance.underside.face) : null,
  )

function figuresOf(report: Report): readonly (readonly [string, string])[] {
  const c = report.clearance as { min_mm?: number; verdict?: string } | null
  const b = report.build as { mass_kg?: number } | null
  const rows: [string, string][] = []
  if (typeof c?.min_mm === 'number')
    rows.push([
      'least gap to the frame',
      `${roundedDown(c.min_mm, 1).toFixed(1)} mm, ${(c.verdict ?? '').replace('-', ' ')}`,
    ])
  if (typeof b?.mass_kg === 'number') rows.push(['mass of the top', `${b.mass_kg.toFixed(0)} kg`])
  rows.push(['holds', report.holds.length === 0 ? 'none stands' : String(report.holds.length)])
  for (const s of report.signatures) rows.push([s.role, `${s.name}${s.stands === false ? ' (lifted)' : ''}`])
  return rows
}

const PAGE = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data: blob:">
<title>%TITLE%</title><style>
*{box-sizing:border-box}html,body{margin:0;height:100%;font:16px/1.4 'Alegreya Sans',Candara,'Gill Sans',sans-serif;color:#1e2428;background:#f4efe4}
body{display:grid;grid-template-columns:1fr 330px}main{position:relative;min-height:0}canvas{width:100%;height:100%;display:block;touch-action:none;cursor:grab}
aside{overflow:auto;padding:20px;border-left:1px solid #1e2428}h1{font-size:24px;margin:0}h2{font-size:17px;margin:22px 0 6px;border-bottom:2px solid #1b5a94;padding-bottom:3px}
p{margin:4px 0}small,.quiet{color:#565b5c}ul{list-style:none;margin:0;padding:0}li{padding:5px 0;border-bottom:1px solid #cfc8b9}
button{font:inherit;color:#1b5a94;background:none;border:0;border-bottom:1px solid;padding:8px 0 2px;min-height:36px;cursor:pointer}button[aria-pressed=true]{color:#1e2428;border-bottom-width:3px}
button:focus-visible,input:focus-visible,textarea:focus-visible{outline:2px solid #1b5a94;outline-offset:2px}
.looks{position:absolute;left:16px;bottom:12px;display:flex;gap:18px;flex-wrap:wrap}.night button{color:#f1ece0}.night .looks button[aria-pressed=true]{color:#fff}
.pins{position:absolute;inset:0;overflow:hidden;pointer-events:none}.pins button{position:absolute;pointer-events:auto;transform:translate(-50%,-100%);padding:0 3px;min-height:0;border:0;white-space:nowrap;font-size:14px;background:#f4efe4d0}
.night .pins button{background:#10151ad0;color:#dfe7ee}
input,textarea,select{font:inherit;width:100%;border:0;border-bottom:1px solid #1e2428;background:none;padding:4px 0;color:inherit}label{display:block;margin:8px 0}dl{display:grid;grid-template-columns:auto auto;gap:2px 12px;margin:8px 0}dt{color:#565b5c}dd{margin:0;text-align:right}
@media(max-width:760px){body{grid-template-columns:1fr;grid-template-rows:60vh auto;height:auto}aside{border-left:0;border-top:1px solid #1e2428}main{height:60vh}}
</style></head><body><main><canvas aria-label="The top on its frame; drag to turn, pinch or roll to come nearer"></canvas><div class="pins"></div><div class="looks"></div></main><aside></aside>
<script type="application/json" id="data">%DATA%</script><script>%VIEWER%</script></body></html>
`
