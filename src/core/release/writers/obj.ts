/** Wavefront OBJ: indexed, so a mesh comes back with the vertices it went out with. */
import type { Mesh } from '../../geometry/mesh'

/**
 * @param mesh any axes; the origin is added
 * @param options.name of the one object in the file
 * @param options.digits after the point; 4 is a tenth of a micrometre for a file in mm
 * @param options.words a comment for the first line: unit and axes, which OBJ cannot state otherwise
 */
export function writeObj(mesh: Mesh, options: { name: string; words?: string; digits?: number }): Uint8Array {
  const { positions, indices, origin } = mesh
  const digits = options.digits ?? 4
  const lines: string[] = [`# ${options.words ?? 'triangle mesh, mm'}`, `o ${options.name.replace(/\s+/g, '_')}`]
  for (let v = 0; v < positions.length; v += 3)
    lines.push(`v ${[0, 1, 2].map((k) => trimmed(origin[k]! + positions[v + k]!, digits)).join(' ')}`)
  for (let f = 0; f < indices.length; f += 3)
    lines.push(`f ${indices[f]! + 1} ${indices[f + 1]! + 1} ${indices[f + 2]! + 1}`)
  return new TextEncoder().encode(`${lines.join('\n')}\n`)
}

function trimmed(value: number, digits: number): string {
  const text = value.toFixed(digits).replace(/\.?0+$/, '')
  return text === '-0' || text === '' ? '0' : text
}
