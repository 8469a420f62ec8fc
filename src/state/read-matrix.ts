import { handedness, type Matrix4 } from '../core/geometry/axes'

/** How far rows of a typed rotation may be from unit length and from square: five typed decimals give this much. */
const SLACK = 1e-4

/**
 * Reads a rigid motion that a person typed: twelve or sixteen numbers, row by row, lengths in mm. Small errors of rounding are
 * taken out (rows made square and of unit length again), larger ones are refused: a stretched frame clears nothing.
 */
export function readRigidMatrix(text: string): { readonly matrix: Matrix4 } | { readonly fault: string } {
  const tokens = text
    .replaceAll('−', '-')
    .split(/[\s,;[\]()]+/)
    .filter((t) => t !== '')
  const numbers = tokens.map(Number)
  if (numbers.some((v) => !Number.isFinite(v))) return { fault: 'Not all of it is numbers.' }
  if (numbers.length !== 12 && numbers.length !== 16)
    return { fault: `Twelve or sixteen numbers are needed, row by row; there are ${numbers.length}.` }
  const last = numbers.slice(12)
  if (last.length === 4 && last.some((v, i) => v !== (i === 3 ? 1 : 0)))
    return { fault: 'The last row must be 0 0 0 1.' }
  const rows = [0, 1, 2].map((r) => numbers.slice(r * 4, r * 4 + 3))
  for (let a = 0; a < 3; a++)
    for (let b = a; b < 3; b++) {
      const d = dot(rows[a]!, rows[b]!)
      if (Math.abs(d - (a === b ? 1 : 0)) > 2 * SLACK)
        return { fault: 'This is not a rigid motion: its rows are not square to each other and of length 1.' }
    }
  const x = unit(rows[0]!)
  const y0 = rows[1]!
  const along = dot(x, y0)
  const y = unit(y0.map((v, k) => v - along * x[k]!))
  const z = [x[1]! * y[2]! - x[2]! * y[1]!, x[2]! * y[0]! - x[0]! * y[2]!, x[0]! * y[1]! - x[1]! * y[0]!]
  const matrix = [...x, numbers[3]!, ...y, numbers[7]!, ...z, numbers[11]!, 0, 0, 0, 1]
  if (handedness([...numbers.slice(0, 12), 0, 0, 0, 1]) < 0)
    return { fault: 'This matrix mirrors the frame; port would become starboard.' }
  // A minus nought is a nought.
  return { matrix: matrix.map((v) => v + 0) }
}

const dot = (a: readonly number[], b: readonly number[]): number => a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!

const unit = (v: readonly number[]): number[] => {
  const length = Math.sqrt(dot(v, v))
  return v.map((c) => c / length)
}
