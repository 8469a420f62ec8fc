/** What the panels ask of the app: everything that reaches a file, a worker or a clock. */
import type { Point } from '../core/geometry/axes'
import type { Job, Revision, Signature } from '../core/job'
import type { KeptJob } from '../state/browser-store'
import type { ChangeFigures } from '../state/change-figures'
import type { Stores } from '../state/stores'

/** What a mesh file is meant to be. */
export type MeshUse = 'scan' | 'more-scan' | 'fitting' | 'underside' | 'topside' | 'made-underside' | 'made-topside'
/** An outline is no mesh: nobody is asked what a drawing is. */
export type FileUse = 'ask' | 'outline' | MeshUse

export interface KeptJobs {
  readonly jobs: readonly KeptJob[]
  /** The one that this tab or another writes as it changes. */
  readonly current: string | null
  readonly most: number
}

export interface Actions {
  /** Files that were dropped, pasted or chosen; `ask` puts the question where a mesh could be either. */
  takeFiles(files: readonly File[], use: FileUse): void
  /** Jobs kept in this browser, at most `most` of them beside the current one; null where the browser keeps nothing. */
  keptJobs(): Promise<KeptJobs | null>
  openKept(id: string): void
  /** @returns those that are left */
  takeAwayKept(id: string): Promise<KeptJobs | null>
  openDemo(): void
  /** Draws a further file of the scan beside the first, so that pairs can be picked. @param number from 2 */
  layByPicking(number: number): void
  /** Saves the job as one file. */
  saveFile(): void
  /** Works out locked area over all pulls of a shell, and the best split. */
  lookForPulls(part: 'underside' | 'topside', symmetric: boolean): void
  /** Tries one pull out on the drawing. */
  tryPull(part: 'underside' | 'topside', pull: Point): void
  /** Draws the inner surface of another state of the job, dashed, in the section. */
  lookBeside(job: Job, name: string): void
  /** Lays on the sheet how far the shells have moved since a release. */
  lookForMoved(release: Revision): void
  writePack(): void
  /** Opens the print dialog on the traveller of the build. */
  printTraveller(): void
  /** Signs, with the key that is open if it is in this name. */
  sign(signature: Omit<Signature, 'seal'>): void
  /** Makes a key for a person and hands its file over. */
  makeKey(name: string): void
  /** Stops what is being worked out; the last answers stay, marked with what they are of. */
  stopWork(): void
  /** Goes on where `stopWork` stopped, or after a defect. */
  goOn(): void
  /** ISO 8601, now. */
  now(): string
  /** Headline figures of a job that was planned to its end in this session. */
  figuresOf(job: Job): ChangeFigures | null
}

export interface PanelProps {
  readonly stores: Stores
  readonly actions: Actions
}
