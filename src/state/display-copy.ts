/** Has a copy made, in a worker, of every scan that is too large to be drawn whole. */
import { facetCount, type Mesh } from '../core/geometry/mesh'
import type { Runner } from '../runner/runner'
import type { ResultsState, ResultsStore } from './results'

/** A picture of a frame shows no more facets than this, and every machine draws so many. */
export const DRAWN_FACETS = 300_000
/** Up to here the scan itself is drawn. */
export const WHOLE_TO_FACETS = 1_200_000

/** The metal, in job axes once there is a datum, in scan axes until then. */
export const frameMesh = ({ steps }: ResultsState): Mesh | null =>
  steps.datum.result?.mesh ?? steps.scan.result?.mesh ?? null

export const needsCopy = (mesh: Mesh): boolean => facetCount(mesh) > WHOLE_TO_FACETS

/** @returns a way to stop it */
export function keepDisplayCopy(results: ResultsStore, runner: Runner, onDefect: (error: unknown) => void): () => void {
  let wanted: string | null = null
  let stop = new AbortController()
  const look = () => {
    const state = results.getState()
    const mesh = frameMesh(state)
    const id = mesh && needsCopy(mesh) ? mesh.id : null
    if (id === wanted) return
    wanted = id
    stop.abort()
    stop = new AbortController()
    const { signal } = stop
    if (state.copy && state.copy.of !== id) results.setState({ copy: null })
    if (!mesh || id === null || state.copy?.of === id) return
    runner
      .run('displayCopy', { mesh, keep: DRAWN_FACETS }, { signal })
      .then((outcome) => {
        if (outcome.ok && wanted === id) results.setState({ copy: outcome.value })
      })
      .catch(onDefect)
  }
  const end = results.subscribe(look)
  look()
  return () => {
    end()
    stop.abort()
  }
}
