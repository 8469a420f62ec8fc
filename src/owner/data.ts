/** What the owner's copy carries, and how it is unpacked. */

export interface Comment {
  readonly author: string
  readonly text: string
  readonly state: 'open' | 'settled'
  readonly at: string
  readonly where: readonly [number, number, number] | null
  readonly fitting: string | null
}

export interface OwnersData {
  readonly title: string
  readonly revision: string
  readonly hash: string
  readonly parts: readonly PackedPart[]
  readonly fittings: readonly {
    readonly id: string
    readonly name: string
    readonly at: readonly [number, number, number]
    readonly comment: string
    readonly light: {
      readonly kind: string
      readonly forward_deg: number
      /** Where it shines from, job axes, mm. */
      readonly at: readonly [number, number, number]
    } | null
    readonly top: number
  }[]
  readonly comments: readonly Comment[]
  readonly eye: readonly [number, number, number]
  readonly figures: readonly (readonly [string, string])[]
  readonly cautions: readonly string[]
}

export interface PackedPart {
  readonly name: string
  readonly kind: string
  readonly colour: readonly [number, number, number]
  readonly min: readonly [number, number, number]
  readonly size: readonly [number, number, number]
  readonly positions: string
  readonly indices: string
  readonly wide: boolean
  readonly fitting: string | null
}

export interface Part {
  readonly packed: PackedPart
  /** mm, job axes, three per vertex. */
  readonly positions: Float32Array
  readonly normals: Float32Array
  readonly indices: Uint32Array
}

export function readData(): OwnersData {
  const text = document.getElementById('data')?.textContent
  if (!text) throw new Error('owner: the file holds no data')
  return JSON.parse(text) as OwnersData
}

function bytesOf(text: string): DataView {
  const letters = atob(text)
  const bytes = new Uint8Array(letters.length)
  for (let i = 0; i < letters.length; i++) bytes[i] = letters.charCodeAt(i)
  return new DataView(bytes.buffer)
}

export function unpack(packed: PackedPart): Part {
  const words = bytesOf(packed.positions)
  const positions = new Float32Array(words.byteLength / 2)
  for (let i = 0; i < positions.length; i++) {
    const k = i % 3
    positions[i] = packed.min[k]! + (packed.size[k]! * words.getUint16(2 * i, true)) / 65_535
  }
  const numbers = bytesOf(packed.indices)
  const indices = new Uint32Array(numbers.byteLength / (packed.wide ? 4 : 2))
  for (let i = 0; i < indices.length; i++)
    indices[i] = packed.wide ? numbers.getUint32(4 * i, true) : numbers.getUint16(2 * i, true)
  return { packed, positions, normals: smoothNormals(positions, indices), indices }
}

/** Area-weighted means of the facets' normals; the shader takes the facet's own where the two differ much. */
function smoothNormals(p: Float32Array, indices: Uint32Array): Float32Array {
  const normals = new Float32Array(p.length)
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [3 * indices[i]!, 3 * indices[i + 1]!, 3 * indices[i + 2]!]
    const u = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!] as const
    const v = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!] as const
    const n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]] as const
    for (const corner of [a, b, c]) for (let k = 0; k < 3; k++) normals[corner + k]! += n[k]!
  }
  for (let i = 0; i < normals.length; i += 3) {
    const length = Math.hypot(normals[i]!, normals[i + 1]!, normals[i + 2]!) || 1
    for (let k = 0; k < 3; k++) normals[i + k]! /= length
  }
  return normals
}
