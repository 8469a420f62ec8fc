/** The whole release pack: what core makes, with the PDF and the owner's copy, sealed. The page and the command line both come here. */
import { coversNow } from '../core/covers'
import type { Steps } from '../core/geometry/kernel'
import { jobHash } from '../core/job'
import { type Hash, listed, type Pack, packFiles, type ReleaseInput, sealPack } from '../core/release'
import { ownersCopyHtml } from '../core/release/owner/owners-copy'
import { reportBlocks } from '../core/release/report-blocks'
import type { Fonts } from './pdf'

export interface PackHost {
  /** Runs a kernel to its end in the way of this host; it is this share of the whole, from 0 to 1. */
  readonly run: <T>(steps: Steps<T>, from: number, to: number) => Promise<T>
  readonly fonts: () => Promise<Fonts>
  /** SHA-256, hex, where the host has a faster one than core. */
  readonly hash?: Hash
  /** The viewer of the owner's copy, `assets/owner/viewer.js`. */
  readonly viewer: () => Promise<string>
}

/** Shares of the work, about: the files, then the owner's copy; the PDF is the rest. */
const FILES_DONE = 0.7
const OWNERS_DONE = 0.75

export async function makePack(input: Omit<ReleaseInput, 'covers'>, host: PackHost): Promise<Pack> {
  const { job, results, program } = input
  const covers = {
    designer: coversNow(job, 'designer'),
    owner: coversNow(job, 'owner'),
    toolmaker: coversNow(job, 'toolmaker'),
  }
  const whole: ReleaseInput = { ...input, covers }
  const made = await host.run(packFiles(whole, host.hash), 0, FILES_DONE)
  const files = [...made.files]
  const viewer = await host.viewer()
  const owners = await host.run(ownersCopyHtml({ ...whole, report: made.report, viewer }), FILES_DONE, OWNERS_DONE)
  files.push({ path: 'owners-copy.html', bytes: new TextEncoder().encode(owners) })
  // The library and its fonts are loaded only now, when a report is printed.
  const { writePdf } = await import('./pdf')
  const blocks = reportBlocks({
    job,
    report: made.report,
    results,
    drawings: made.drawings,
    files: listed(files, host.hash),
  })
  const hash = jobHash(job)
  const pdf = await writePdf(
    blocks,
    {
      title: job.title,
      subtitle: `revision ${job.release.revision} · job ${hash.slice(0, 8)} · ${program}`,
      footer: `${job.title} · revision ${job.release.revision} · job ${hash.slice(0, 16)}`,
      program,
    },
    await host.fonts(),
  )
  files.push({ path: 'report.pdf', bytes: pdf })
  return { ...made, files: sealPack(whole, files) }
}
