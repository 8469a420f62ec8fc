/** `plan JOB --out DIR`: the whole line without the page, with the same steps and the same numbers. */
import { parseArgs } from 'node:util'
import { FLOW_ORDER, type FlowStep } from '../core/flow'
import { Refused } from '../core/geometry/trouble'
import { standingHolds } from '../core/release'
import { makePack } from '../press/make-pack'
import { planJob } from '../runner/plan-job'
import { PROGRAM } from '../runner/version'
import { command, EXIT, parsed, say, usage } from './command'
import { openJob, writeWhole } from './files'
import { PACK_HOST } from './pack-host'
import { runInThreads } from './threads'

const HELP = `plan JOB --out DIR [--until ${FLOW_ORDER.join('|')}] [--quiet] [--no-timings]`

await command(async (args) => {
  const { values, positionals } = parsed(
    () =>
      parseArgs({
        args: [...args],
        allowPositionals: true,
        options: {
          out: { type: 'string' },
          until: { type: 'string' },
          quiet: { type: 'boolean', default: false },
          'no-timings': { type: 'boolean', default: false },
        },
      }),
    HELP,
  )
  const [path, ...extra] = positionals
  if (!path || extra.length > 0 || !values.out)
    throw usage(`One job and a folder to write into are needed. Usage: ${HELP}`)
  const until = values.until as FlowStep | undefined
  if (until && !FLOW_ORDER.includes(until)) throw usage(`There is no step "${until}". Usage: ${HELP}`)

  const { job, assets } = await openJob(path)
  const line = progressLine(values.quiet)
  const kept = new Map<string, unknown>()
  const now = () => performance.now()
  const runner = runInThreads()
  // Whatever happens, no thread may keep the process alive.
  const plan = await planJob(
    job,
    {
      runner,
      cache: kept,
      going: new Map(),
      bytes: (hash) => {
        const bytes = assets.get(hash)
        if (!bytes) throw new Refused('asset-missing', `The job names a mesh that is not there (${hash.slice(0, 8)}…).`)
        return bytes
      },
      now,
    },
    {
      onProgress: (step, { fraction, label }) => line.show(step, fraction, label),
      onDone: (step, _key, _result, seconds) => line.done(step, seconds),
    },
    until ? { until } : {},
  ).finally(() => runner.dispose())
  line.end()
  const refusal = Object.values(plan.refused)[0]
  if (refusal) throw new Refused(refusal.code, refusal.message)

  const timings_s = values['no-timings'] ? {} : plan.timings_s
  const pack = await makePack({ job, results: plan.results, timings_s, program: PROGRAM }, PACK_HOST)
  await writeWhole(values.out, pack.files)
  const holds = standingHolds(pack.report.findings)
  if (holds.length === 0) return EXIT.done
  for (const hold of holds) say(`hold (${hold.step}): ${hold.message}`)
  return EXIT.holds
})

/** One line on standard error, written over itself on a terminal; elsewhere one line per step. */
function progressLine(quiet: boolean) {
  const live = process.stderr.isTTY === true && !quiet
  let open = false
  return {
    show(step: string, fraction: number, label: string) {
      if (!live) return
      process.stderr.write(`\r\x1b[K${step} ${(100 * fraction).toFixed(0)} % ${label}`)
      open = true
    },
    done(step: string, seconds: number) {
      if (quiet) return
      if (live) process.stderr.write('\r\x1b[K')
      say(`${step} ${seconds.toFixed(2)} s`)
      open = false
    },
    end() {
      if (open) process.stderr.write('\r\x1b[K')
    },
  }
}
