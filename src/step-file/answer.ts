import start from 'occt-import-js'
import { Refused } from '../core/geometry/trouble'
import type { FromReader } from './guarded'
import { type StepFile, tessellate } from './tessellate'

/** One file read by a library started for it. @param wasm where its binary lies; left out: beside its script (Node) */
export async function answer(file: StepFile, wasm?: string): Promise<FromReader> {
  try {
    const quiet = { print: () => {}, printErr: () => {} }
    const reader = await start(wasm === undefined ? quiet : { ...quiet, locateFile: () => wasm })
    return { kind: 'done', mesh: tessellate(reader, file) }
  } catch (error) {
    if (error instanceof Refused) return { kind: 'refused', refusal: error.refusal }
    return { kind: 'broke', message: error instanceof Error ? error.message : String(error) }
  }
}
