/**
 * Random edits with undo, redo, save and open: the job is always the one that the edits that stand would make again from the
 * beginning, and a file never changes it. `FUZZ_EDITS=20000` runs so many sequences; CI runs a few.
 */
import { expect, it } from 'vitest'
import {
  adoptJob,
  applyEdit,
  canonicalJson,
  closeMark,
  type Edit,
  type Job,
  jobSchema,
  openMark,
  parseJobValue,
  readJobZip,
  redo,
  sha256Hex,
  startHistory,
  undo,
  writeJobZip,
} from '../../../src/core/job'
import * as edits from '../../../src/core/job/edits'
import * as ofFittings from '../../../src/core/job/fitting-edits'
import * as ofShells from '../../../src/core/job/shell-edits'
import { type Random, random } from '../../support/random'

const SEQUENCES = Number(process.env['FUZZ_EDITS'] ?? 60)
const LENGTH = 40

const meshes = ['a', 'b', 'c'].map((text) => new TextEncoder().encode(`solid ${text}\nendsolid\n`))
const named = meshes.map((bytes, i) => ({ asset: sha256Hex(bytes), name: `${'abc'[i]}.stl` }))
const assets = new Map(meshes.map((bytes, i) => [named[i]!.asset, bytes]))
const first = (): Job =>
  adoptJob(parseJobValue({ format: 'mouldwright-job', version: 1, scan: { files: [named[0]] } }), () => named[0]!)

const pick = <T>(chance: Random, from: readonly T[]): T => from[chance.below(from.length)]!
const AT = '2026-01-02T03:04:05.000Z'
const SHA = 'f'.repeat(64)

/** One edit that somebody could make on this job, out of every kind there is. */
function anyEdit(job: Job, chance: Random): Edit {
  const { between, below } = chance
  const fitting = job.fittings[below(job.fittings.length || 1)]?.id
  const chase = job.chases[below(job.chases.length || 1)]?.id
  const wire = job.wires[below(job.wires.length || 1)]?.id
  const comment = job.comments[below(job.comments.length || 1)]?.id
  const mesh = pick(chance, named)
  const kinds: (Edit | null)[] = [
    edits.setTitle(`title ${below(9)}`),
    edits.replaceScan([mesh]),
    edits.setScanUnit(pick(chance, ['auto', 'mm', 'in', 'm'] as const)),
    edits.setNoise(below(3) === 0 ? null : between(0, 2)),
    edits.addRepair({ kind: 'fill-holes', longestRim_mm: between(1, 500) }),
    job.scan.repairs.length > 0 ? edits.removeRepair(below(job.scan.repairs.length)) : null,
    edits.markTube(`tube-${below(4)}`, { role: pick(chance, ['clear', 'bearing'] as const), gap_mm: between(0, 30) }),
    edits.setDatum({ forwardFlipped: below(2) === 0 }),
    edits.setDatumMatrix(
      below(2) === 0 ? 'auto' : ([1, 0, 0, between(-9, 9), 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1] as const),
    ),
    edits.setClearance({ gap_mm: between(0, 40) }),
    edits.setClearance({ symmetric: below(2) === 0, skirt_mm: between(1, 90) }),
    edits.setAnalysis({ minDraft_deg: below(2) === 0 ? null : between(0, 9) }),
    edits.setTooling({ parts: 1 + below(50) }),
    edits.setBuild({ shop_C: between(12, 30) }),
    edits.addFitting(edits.plainFitting(pick(chance, ['lamp', 'box']), mesh, [between(-900, 900), between(-500, 500)])),
    fitting ? edits.changeFitting(fitting, { turn_deg: between(-180, 180) }) : null,
    fitting ? edits.setSeat(fitting, { kind: pick(chance, ['none', 'pad', 'recess'] as const) }) : null,
    fitting ? ofFittings.copyFitting(fitting, [100, 0]) : null,
    fitting ? ofFittings.arrayFitting(fitting, 1 + below(3), [50, 5]) : null,
    fitting ? edits.removeFitting(fitting) : null,
    edits.addChase('chase', [
      [0, 0],
      [between(10, 400), 5],
    ]),
    chase ? edits.changeChase(chase, { width_mm: between(3, 60) }) : null,
    chase ? edits.removeChase(chase) : null,
    fitting ? ofFittings.addWire(fitting) : null,
    wire ? ofFittings.changeWire(wire, { current_A: between(0, 30), chases: chase ? [chase] : [] }) : null,
    wire ? ofFittings.removeWire(wire) : null,
    ofFittings.setPeople({ deck_mm: between(-2500, 0) }),
    ofFittings.setVessel({ length_m: between(4, 40) }),
    ofFittings.addComment({
      author: 'A',
      text: 'higher',
      state: 'open',
      at: AT,
      where: null,
      fitting: fitting ?? null,
    }),
    comment ? ofFittings.changeComment(comment, { state: 'settled' }) : null,
    comment ? ofFittings.removeComment(comment) : null,
    ofShells.importShell('underside', ofShells.plainShell(mesh)),
    ofShells.drawShell('underside'),
    ofShells.addAsMade(ofShells.plainAsMade(mesh, 'topside')),
    job.asMade.length > 0 ? ofShells.removeAsMade(below(job.asMade.length)) : null,
    edits.waive({ finding: `f${below(5)}`, by: 'B', reason: 'seen', at: AT }),
    edits.unwaive(`f${below(5)}`),
    edits.sign({
      role: pick(chance, ['designer', 'owner', 'toolmaker'] as const),
      name: 'C',
      at: AT,
      covers: SHA,
      figures: {},
      seal: null,
    }),
    edits.unsign(pick(chance, ['designer', 'owner'] as const)),
    edits.setRevision(pick(chance, ['A', 'B', 'C'])),
  ]
  return pick(
    chance,
    kinds.filter((kind) => kind !== null),
  )
}

/** Throws with the seed, so that a failure can be kept and run again. */
function sequence(seed: number): Set<string> {
  const chance = random(seed)
  const titles = new Set<string>()
  let history = startHistory(first())
  // What stands: edit by edit, those of one drag together.
  let standing: Edit[][] = []
  let undone: Edit[][] = []
  for (let n = 0; n < LENGTH; n++) {
    const what = chance.below(10)
    if (what === 0) {
      history = undo(history)
      const last = standing.pop()
      if (last) undone.push(last)
    } else if (what === 1) {
      history = redo(history)
      const next = undone.pop()
      if (next) standing.push(next)
    } else if (what === 2) {
      const bytes = writeJobZip(history.job, assets)
      const opened = readJobZip(bytes).job
      if (canonicalJson(opened) !== canonicalJson(history.job)) throw new Error(`seed ${seed}: a file changed the job`)
      if (!same(writeJobZip(opened, assets), bytes)) throw new Error(`seed ${seed}: two files of one job`)
    } else {
      const count = what === 3 ? 1 + chance.below(5) : 1
      if (what === 3) history = openMark(history, 'drag')
      const made: Edit[] = []
      for (let k = 0; k < count; k++) {
        const edit = anyEdit(history.job, chance)
        // As the page does: what the schema would refuse in a file is no edit.
        if (!jobSchema.safeParse(edit.apply(history.job)).success) continue
        const before = history.job
        history = applyEdit(history, edit)
        if (history.job === before) continue
        titles.add(edit.title.replace(/\d+/g, ''))
        made.push(edit)
      }
      if (what === 3) history = closeMark(history)
      if (made.length === 0) continue
      standing.push(made)
      undone = []
    }
    let replay = first()
    for (const edit of standing.flat()) replay = edit.apply(replay)
    if (canonicalJson(replay) !== canonicalJson(history.job)) throw new Error(`seed ${seed}: replay differs at ${n}`)
  }
  standing = []
  return titles
}

const same = (a: Uint8Array, b: Uint8Array): boolean => a.length === b.length && a.every((v, i) => v === b[i])

it(`${SEQUENCES} sequences of ${LENGTH}: the job equals its replay, and survives every save`, () => {
  const seen = new Set<string>()
  for (let seed = 1; seed <= SEQUENCES; seed++) for (const title of sequence(seed)) seen.add(title)
  // The sequences are worth something only if they make edits of every kind.
  expect(seen.size).toBeGreaterThan(30)
}, 3_600_000)
