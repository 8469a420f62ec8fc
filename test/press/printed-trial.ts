/** A small job with everything that a report can say, printed. */
import { PACK_HOST } from '../../src/cli/pack-host'
import type { PlacedFitting } from '../../src/core/fitting'
import { IDENTITY } from '../../src/core/geometry/axes'
import { sign, waive } from '../../src/core/job'
import type { Pack } from '../../src/core/release'
import { makePack } from '../../src/press/make-pack'
import { smallClearance } from '../core/tooling/shells'
import { jobWith } from '../state/results-at-hand'
import { noFittings } from '../support/fitting-result'
import { box } from '../support/solids'

export function trialPack(): Promise<Pack> {
  const clearance = smallClearance()
  const lamp = {
    id: 'lamp',
    name: 'lamp 灯火',
    twin: false,
    on: 'topside',
    pose: IDENTITY,
    mesh: box([-20, -20, 60], [20, 20, 120]),
    base: { normal: [0, 0, -1], at: [0, 0, 60], area_mm2: 1600 },
    seat: { at: [0, 0, 60], normal: [0, 0, 1] },
    gapUnderBase_mm: 2,
    toFrame: { min_mm: 50, part: [0, 0, 0], frame: [0, 0, 0] },
  } as unknown as PlacedFitting
  const finding = { id: 'trial.hold', step: 'clearance', severity: 'hold', message: 'A hold for the trial.' } as const
  const plain = jobWith({ title: 'Prøve-top ≥ 12' })
  const signed = sign({
    role: 'designer',
    name: 'D. Signer',
    at: '2026-05-04T08:00:00Z',
    covers: 'ab'.repeat(32),
    figures: {},
    seal: null,
  }).apply(plain)
  const job = waive({
    finding: 'trial.hold',
    by: 'O. Owner',
    reason: 'seen on site',
    at: '2026-05-04T09:00:00Z',
  }).apply(signed)
  const results = {
    clearance: { ...clearance, findings: [finding] },
    fitting: {
      ...noFittings,
      placed: [lamp],
      distances_mm: new Float64Array(1),
    },
  }
  return makePack({ job, results, timings_s: {}, program: 'Mouldwright 9.9.9' }, PACK_HOST)
}

export const printedTrial = async (): Promise<Uint8Array> =>
  (await trialPack()).files.find((f) => f.path === 'report.pdf')!.bytes
