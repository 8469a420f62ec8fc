/**
 * Files that were dropped, pasted or chosen. Everything is read and judged before the job is touched: a bad file costs one
 * sentence and nothing else.
 */
import { Refused } from '../core/geometry/trouble'
import { adoptJob, type Job, type MeshAsset, parseCommentsFile, parseJobText, takeComments } from '../core/job'
import { readPackZip } from '../core/release/zip-pack'
import type { FileUse } from '../panels'
import { verifiedWords, verifyFiles } from '../press/verify'
import { addAsMade, addFitting, importShell, plainAsMade, plainFitting, plainShell, setOutline } from '../state/edit'
import { lengthText } from '../state/format'
import { reachOf } from '../state/place-words'
import { leaveJob, openStep } from '../state/session-moves'
import type { Stores } from '../state/stores'
import { readStepFile } from '../step-file/guarded'
import { PAGE_READER } from '../step-file/on-page'
import { importWords, isStepFile } from '../step-file/tessellate'
import { fileHash } from './hash'
import { openJobFile } from './job-file'
import { type FileRead, readFile } from './read-file'
import { takeMoreScan, takeScan } from './take-scan'
import { keep, type TakeHost, type Taken } from './taken'

export async function takeFiles(host: TakeHost, files: readonly File[], use: FileUse): Promise<void> {
  const { session } = host.stores
  session.setState({ notice: null })
  try {
    const taken: Taken[] = []
    for (const file of files) taken.push(await asFacets(host, await readShown(host, file)))
    if (await takeOther(host, taken)) return
    const opened = await asJob(taken)
    if (opened) {
      host.stores.jobs.getState().open(opened.job, opened.assets)
      leaveJob(session)
      return
    }
    if (use === 'outline' || (use === 'ask' && taken.every((f) => /\.(dxf|svg)$/i.test(f.name))))
      return await takeOutline(host, taken[0]!)
    const meant = use === 'ask' ? await host.askUse(taken.map((f) => f.name)) : use
    if (meant === 'scan') await takeScan(host, taken)
    else if (meant === 'more-scan') await takeMoreScan(host, taken)
    else if (meant === 'fitting') await takeFittings(host, taken)
    else if (meant === 'underside' || meant === 'topside') await takeShell(host, taken[0]!, meant)
    else if (meant) await takeMade(host, taken[0]!, meant === 'made-underside' ? 'underside' : 'topside')
  } catch (error) {
    if (error instanceof Refused) session.setState({ notice: { kind: 'refused', text: error.refusal.message } })
    else if (error instanceof DOMException)
      session.setState({
        notice: { kind: 'refused', text: `The browser cannot read the file (${error.name}); choose it again.` },
      })
    else throw error
  }
}

/** Below this a file is there before its progress could be read. */
const SHOWN_FROM_BYTES = 20e6

async function readShown({ stores: { session } }: TakeHost, file: File): Promise<FileRead> {
  if (file.size < SHOWN_FROM_BYTES) return readFile(file)
  let shown = -1
  const read = await readFile(file, (fraction) => {
    // By tens: every change of the words is a picture of the page.
    const percent = 10 * Math.floor(fraction * 10)
    if (percent === shown) return
    shown = percent
    session.setState({ notice: { kind: 'said', text: `Opening ${file.name}: ${percent} %` } })
  })
  session.setState({ notice: null })
  return read
}

/** A STEP file becomes its mesh, by a library that is fetched when the first one arrives. @throws Refused */
async function asFacets({ stores: { session } }: TakeHost, file: FileRead): Promise<Taken> {
  if (!isStepFile(file.bytes)) return file
  session.setState({ notice: { kind: 'said', text: `Drawing ${file.name} as facets …` } })
  const mesh = await readStepFile(file, PAGE_READER)
  session.setState({ notice: null })
  const { text, plain } = importWords(file.name, mesh)
  const original = {
    name: file.name,
    sha256: file.sha256,
    faces: mesh.faces,
    facesRead: mesh.facesRead,
  }
  return {
    name: file.name,
    bytes: mesh.bytes,
    sha256: await fileHash(mesh.bytes),
    original,
    ...(plain ? {} : { said: text }),
  }
}

/** A pack to be verified, remarks of an owner, or a person's key: none of them a job or a mesh. */
async function takeOther({ stores, openKey }: TakeHost, taken: readonly Taken[]): Promise<boolean> {
  const [file, ...more] = taken
  if (!file || more.length > 0) return false
  const said = (text: string, kind: 'said' | 'refused' = 'said') => stores.session.setState({ notice: { kind, text } })
  if (isZip(file.bytes) && isPack(file.bytes)) {
    said(`Verifying ${file.name} …`)
    const verified = await verifyFiles(readPackZip(file.bytes))
    const words = verifiedWords(verified).join('; ')
    if (verified.faults.length > 0) said(`${file.name} was changed: ${words}`, 'refused')
    else said(`${file.name} is whole: ${words}.`)
    return true
  }
  const format = /"format":\s*"(mouldwright-[a-z]+)"/.exec(
    new TextDecoder('latin1').decode(file.bytes.subarray(0, 4096)),
  )?.[1]
  // Only what says so is read as text: of a large scan that alone took seconds.
  const text = () => new TextDecoder().decode(file.bytes)
  if (format === 'mouldwright-comments') {
    const edit = takeComments(parseCommentsFile(text()))
    const before = stores.jobs.getState().history.job.comments.length
    stores.jobs.getState().edit(edit)
    const fresh = stores.jobs.getState().history.job.comments.length - before
    said(
      fresh === 0
        ? 'These remarks are in the job already.'
        : `${fresh} ${fresh === 1 ? 'remark was' : 'remarks were'} taken into the job.`,
    )
    return true
  }
  if (format !== 'mouldwright-key') return false
  await openKey(text())
  said('The key is open: signatures in its name are sealed with it until this page is closed.')
  return true
}

/** A `.mwjob`, or a `job.json` that came together with the meshes it names. Null: no job among the files. */
async function asJob(taken: readonly Taken[]): Promise<{ job: Job; assets: Map<string, Uint8Array> } | null> {
  for (const file of taken) {
    if (isZip(file.bytes) && (holdsJob(file.bytes) || /\.mwjob$/i.test(file.name))) return openJobFile(file.bytes)
    if (/\.mwjob$/i.test(file.name)) return openJobFile(file.bytes)
    if (!isJobText(file.bytes)) continue
    const assets = new Map<string, Uint8Array>()
    const byName = new Map<string, MeshAsset>()
    for (const other of taken) {
      if (other === file) continue
      const asset = other.sha256
      assets.set(asset, other.bytes)
      byName.set(other.name, { asset, name: other.name, ...(other.original ? { original: other.original } : {}) })
    }
    const job = adoptJob(parseJobText(new TextDecoder().decode(file.bytes)), (path) => {
      const found = byName.get(path.split('/').at(-1) ?? path)
      if (found) return found
      throw new Refused(
        'asset-missing',
        `The job names the mesh "${path}", which did not come with it; drop the job and its meshes together.`,
      )
    })
    return { job, assets }
  }
  return null
}

async function takeFittings({ stores, runner }: TakeHost, taken: readonly Taken[]): Promise<void> {
  const { jobs, results, session } = stores
  const parts: { file: Taken; size: readonly number[]; unit: string; guessed: boolean }[] = []
  for (const file of taken) {
    const outcome = await runner.run('readPart', { file, unit: 'auto' })
    if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
    const { size_mm, unit, unitFrom } = outcome.value
    parts.push({ file, size: size_mm, unit, guessed: unitFrom === 'size' })
  }
  const assets = keep(stores, taken)
  const middle_mm = Math.round(reachOf(results.getState().steps.clearance.result?.outline ?? []).middle_mm)
  // Side by side along the centreline, so that two of them do not hide each other.
  let x_mm = middle_mm
  jobs.getState().beginDrag(`add ${parts.map((p) => stem(p.file.name)).join(', ')}`)
  for (const [i, part] of parts.entries()) {
    jobs.getState().edit(addFitting(plainFitting(stem(part.file.name), assets[i]!, [x_mm, 0])))
    x_mm += Math.ceil(part.size[0] ?? 0) + 20
  }
  jobs.getState().endDrag()
  openStep(session, 'fitting')
  const added = jobs.getState().history.job.fittings.at(-1)
  const guessed = parts.find((p) => p.guessed)
  const said = taken.flatMap((t) => (t.said ? [t.said] : []))
  session.setState((s) => ({
    fitting: added?.id ?? null,
    notice: guessed
      ? {
          kind: 'said',
          text: `${guessed.file.name} was taken for ${guessed.unit} from its size: ${guessed.size.map((v) => lengthText(v, s.lengthUnit)).join(' × ')}. If that is wrong, say its unit in the slip.`,
        }
      : said.length > 0
        ? { kind: 'said', text: said.join(' ') }
        : null,
  }))
}

/** A mesh in place of a drawn shell: it must be readable, the rest is for its certificate to say. */
async function takeShell({ stores, runner }: TakeHost, file: Taken, role: 'underside' | 'topside'): Promise<void> {
  const outcome = await runner.run('readPart', { file, unit: 'auto' })
  if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
  const { size_mm, unit, unitFrom } = outcome.value
  const [asset] = keep(stores, [file])
  stores.jobs.getState().edit(importShell(role, plainShell(asset!)))
  openStep(stores.session, 'clearance')
  if (unitFrom === 'size')
    stores.session.setState((s) => ({
      notice: {
        kind: 'said',
        text: `${file.name} was taken for ${unit} from its size: ${size_mm.map((v) => lengthText(v, s.lengthUnit)).join(' × ')}. If that is wrong, say its unit in the slip.`,
      },
    }))
}

/**
 * The outline of the top from a drawing. A DXF stays where it was drawn, in job axes; the origin of an SVG is the corner of a
 * page and means nothing here, so its middle is laid on the centreline over the middle of the top as it was.
 */
async function takeOutline({ stores, runner }: TakeHost, file: Taken): Promise<void> {
  const middle_mm = /\.svg$/i.test(file.name) ? middleOfTop(stores) : null
  const outcome = await runner.run('readOutline', { file, unit: 'auto', middle_mm })
  if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
  const { outline, unit, unitFrom, size_mm, others, passedOver } = outcome.value
  stores.jobs.getState().edit(setOutline(outline, `from ${file.name}`))
  openStep(stores.session, 'clearance')
  const left = others + passedOver.reduce((sum, [, count]) => sum + count, 0)
  stores.session.setState((s) => ({
    notice: {
      kind: 'said',
      text: [
        `The outline of ${file.name} is ${size_mm.map((v) => lengthText(v, s.lengthUnit)).join(' × ')}${outline.mirrored ? ', with its mirror image' : ''}.`,
        unitFrom === 'size' &&
          `It was taken for ${unit} from its size: if that is wrong, undo it and save the drawing with its unit.`,
        left > 0 && `${left} other ${left === 1 ? 'thing' : 'things'} in the drawing were passed over.`,
      ]
        .filter(Boolean)
        .join(' '),
    },
  }))
}

function middleOfTop({ results }: Stores): readonly [number, number] {
  const outline = results.getState().steps.clearance.result?.outline
  if (!outline) return [0, 0]
  const [low, high] = [Infinity, -Infinity].map((from, end) => {
    let x = from
    for (let k = 0; k < outline.length; k += 2) x = end === 0 ? Math.min(x, outline[k]!) : Math.max(x, outline[k]!)
    return x
  })
  return [(low! + high!) / 2, 0]
}

/** A scan of what was made, to be held against the plan. */
async function takeMade({ stores, runner }: TakeHost, file: Taken, against: 'underside' | 'topside'): Promise<void> {
  const outcome = await runner.run('readPart', { file, unit: 'auto' })
  if (!outcome.ok) throw new Refused(outcome.refusal.code, outcome.refusal.message)
  const [asset] = keep(stores, [file])
  stores.jobs.getState().edit(addAsMade(plainAsMade(asset!, against)))
  openStep(stores.session, 'analysis')
}

const stem = (name: string): string => name.replace(/\.[^.]+$/, '').slice(0, 100) || name.slice(0, 100)

const isZip = (bytes: Uint8Array): boolean => bytes[0] === 0x50 && bytes[1] === 0x4b

/** The name stands uncompressed in the zip's directory at the end; a 3MF is a zip too. */
function holdsJob(bytes: Uint8Array): boolean {
  const tail = new TextDecoder('latin1').decode(bytes.subarray(Math.max(0, bytes.length - 65_536)))
  return tail.includes('job.json')
}

const isPack = (bytes: Uint8Array): boolean => {
  const tail = new TextDecoder('latin1').decode(bytes.subarray(Math.max(0, bytes.length - 65_536)))
  return tail.includes('manifest.json') && tail.includes('SHA256SUMS')
}

function isJobText(bytes: Uint8Array): boolean {
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, 4096))
  return /^\s*\{/.test(head) && head.includes('mouldwright-job')
}
