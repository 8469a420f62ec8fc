/** Mesh files and numbers as words of a command line. */
import { basename } from 'node:path'
import { drain } from '../core/geometry/kernel'
import { type LengthUnit, type LoadedMesh, loadMesh, MM_PER } from '../core/scan'
import { usage } from './command'
import { readBytes } from './files'
import { meshBytes } from './step-files'

/**
 * A mesh in millimetres: in the unit asked for, else in that which the file states, else in millimetres (never guessed).
 *
 * @throws Refused in one sentence
 */
export async function loadFile(path: string, unit: string | undefined): Promise<LoadedMesh<'job'>> {
  if (unit !== undefined && !(unit in MM_PER))
    throw usage(`There is no unit "${unit}": give one of ${Object.keys(MM_PER).join(', ')}.`)
  const { bytes } = await meshBytes(path, await readBytes(path))
  const file = { name: basename(path), bytes }
  const loaded = drain(loadMesh(file, { axes: 'job', unit: (unit as LengthUnit | undefined) ?? 'auto' }))
  if (loaded.unit.from !== 'size' || loaded.unit.unit === 'mm') return loaded
  return drain(loadMesh(file, { axes: 'job', unit: 'mm' }))
}

/** @throws Refused for anything that is not a number, or is below `least` */
export function numberOf(option: string, word: string, least = -Infinity): number {
  const value = word.trim() === '' ? Number.NaN : Number(word)
  if (!Number.isFinite(value) || value < least)
    throw usage(`${option} takes a number${least > -Infinity ? ` of at least ${least}` : ''}; "${word}" is none.`)
  return value
}

/** @throws Refused for anything that is not three numbers with commas */
export function tripleOf(option: string, words: string): [number, number, number] {
  const parts = words.split(',')
  if (parts.length !== 3) throw usage(`${option} takes three numbers with commas, like 0,0,1; "${words}" is none.`)
  return parts.map((word) => numberOf(option, word)) as [number, number, number]
}

/** `--pull -1,0,0` would be taken for an option named `-1,0,0`: such values are joined to their option. */
export function joinValues(args: readonly string[], options: readonly string[]): string[] {
  const out: string[] = []
  for (let i = 0; i < args.length; i++) {
    const word = args[i]!
    const next = args[i + 1]
    if (options.includes(word) && next !== undefined && /^-?[\d.]/.test(next)) {
      out.push(`${word}=${next}`)
      i++
    } else out.push(word)
  }
  return out
}
