/**
 * Places that the page asks for on the sheet, for one thing at a time: the face a fitting stands on, what a remark is about,
 * where the helm is, where the datum lies, or what is the same on two scans.
 */
import type { Point } from '../core/geometry/axes'
import { cropThrough } from './crop'
import { type PickGroup, placeInScan, takeDatumPlace } from './datum-picks'
import { changeComment, changeFitting, setPeople, tryEdit } from './edit'
import { takeLayPlace } from './laying'
import type { Stores } from './stores'

export type AskedPlace =
  | { readonly for: 'base'; readonly fitting: string }
  /** Of the remark that is being written, or of one that was made. */
  | { readonly for: 'remark'; readonly remark?: string }
  | { readonly for: 'lay' }
  /** Where a plane is to cut the scan. */
  | { readonly for: 'crop' }
  | { readonly for: 'datum'; readonly group: PickGroup; readonly places: readonly Point<'scan'>[] }
  /** On the deck, in plan: of no part. */
  | { readonly for: 'helm' }

/** What was pointed at: a facet of a mesh, and the place on it as drawn (job axes; scan axes until there is a datum). */
export interface PointedAt {
  readonly meshId: string
  readonly facet: number
  readonly at: Point<'job'>
  /** The fitting it belongs to, if any. */
  readonly id: string | null
}

/** A remark that is being written, and where it points. */
export interface RemarkPlace {
  readonly where: Point<'job'>
  readonly fitting: string | null
}

/** Takes the place for what was asked. False: nothing was asked, or this is no such place. */
export function answerPlace(stores: Stores, pointed: PointedAt): boolean {
  const { asked } = stores.session.getState()
  if (!asked) return false
  if (asked.for === 'crop') {
    cropThrough(stores, pointed.at)
    return true
  }
  if (asked.for === 'lay') return takeLayPlace(stores, pointed.meshId, pointed.at)
  if (asked.for === 'datum') {
    const place = placeInScan(stores, pointed.meshId, pointed.at)
    if (place) takeDatumPlace(stores, place)
    return place !== null
  }
  if (asked.for === 'remark') {
    // Without a datum the drawing is not in the axes of the job yet.
    if (pointed.meshId === stores.results.getState().steps.scan.result?.mesh.id) return false
    const where = pointed.at.map((v) => Math.round(v * 10) / 10) as [number, number, number]
    if (asked.remark === undefined) {
      stores.session.setState({ asked: null, remarkAt: { where, fitting: pointed.id } })
      return true
    }
    stores.session.setState({ asked: null })
    // Pinned on a fitting it is about that one; elsewhere it stays about what it was about.
    tryEdit(stores.jobs, changeComment(asked.remark, { where, ...(pointed.id !== null && { fitting: pointed.id }) }))
    return true
  }
  if (asked.for === 'helm') return false
  const normal = facetNormalInPart(stores, pointed)
  if (pointed.id !== asked.fitting || !normal) return false
  stores.session.setState({ asked: null })
  tryEdit(stores.jobs, changeFitting(asked.fitting, { baseNormal: normal }))
  return true
}

/** Takes a place of the deck for the helm, to the whole millimetre. */
export function answerHelm(stores: Stores, [x, y]: Point<'job'>): void {
  stores.session.setState({ asked: null })
  tryEdit(stores.jobs, setPeople({ helm_mm: [Math.round(x) + 0, Math.round(y) + 0] }))
}

/** Asks for nothing any more. */
export const leaveAsked = ({ session }: Stores): void => session.setState({ asked: null, laying: null, crop: null })

/** Outward normal of a facet of a placed fitting in the axes of its file; a mirrored twin answers as the part itself does. */
function facetNormalInPart(stores: Stores, { meshId, facet }: PointedAt): [number, number, number] | null {
  const placed = stores.results.getState().steps.fitting.result?.placed.find((p) => p.mesh.id === meshId)
  if (!placed) return null
  const { positions: p, indices } = placed.mesh
  const [a, b, c] = [0, 1, 2].map((k) => 3 * indices[3 * facet + k]!) as [number, number, number]
  const u = [0, 1, 2].map((k) => p[b + k]! - p[a + k]!) as [number, number, number]
  const v = [0, 1, 2].map((k) => p[c + k]! - p[a + k]!) as [number, number, number]
  const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const
  const size = Math.sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2])
  if (!(size > 0)) return null
  // A pose turns, and mirrors at most: its inverse is its transpose.
  const { pose } = placed
  const inPart = (k: number) => (pose[k]! * n[0] + pose[4 + k]! * n[1] + pose[8 + k]! * n[2]) / size
  const digits = (x: number) => Math.round(x * 1e9) / 1e9 + 0
  return [digits(inPart(0)), digits(inPart(1)), digits(inPart(2))]
}
