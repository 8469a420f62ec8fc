/** Writes meshes in every format that is read, plainly and independently of the program's own writers. */
import { strToU8, zipSync } from 'fflate'
import type { Mesh } from '../../src/core/geometry/mesh'
import type { MeshFile } from '../../src/core/scan'
import { soup } from './solids'

export const file = (name: string, content: string | Uint8Array): MeshFile => ({
  name,
  bytes: typeof content === 'string' ? strToU8(content) : content,
})

export function binaryStl(mesh: Mesh, header = '', count?: number): Uint8Array<ArrayBuffer> {
  const corners = soup(mesh)
  const n = corners.length / 9
  const out = new Uint8Array(84 + 50 * n)
  out.set(strToU8(header).subarray(0, 80))
  const view = new DataView(out.buffer)
  view.setUint32(80, count ?? n, true)
  for (let f = 0; f < n; f++)
    for (let k = 0; k < 9; k++) view.setFloat32(84 + f * 50 + 12 + k * 4, corners[f * 9 + k]!, true)
  return out
}

export function asciiStl(mesh: Mesh, name = 'part', end = '\n'): string {
  const c = soup(mesh)
  const lines = [`solid ${name}`]
  for (let i = 0; i < c.length; i += 9) {
    lines.push('  facet normal 0 0 0', '    outer loop')
    for (let k = 0; k < 9; k += 3) lines.push(`      vertex ${c[i + k]} ${c[i + k + 1]} ${c[i + k + 2]}`)
    lines.push('    endloop', '  endfacet')
  }
  lines.push(`endsolid ${name}`, '')
  return lines.join(end)
}

export function obj(mesh: Mesh, end = '\n'): string {
  const lines = ['# a part', 'o part']
  for (let v = 0; v < mesh.positions.length; v += 3) lines.push(`v ${[...mesh.positions.slice(v, v + 3)].join(' ')}`)
  for (let f = 0; f < mesh.indices.length; f += 3)
    lines.push(`f ${[...mesh.indices.slice(f, f + 3)].map((v) => v + 1).join(' ')}`)
  return `${lines.join(end)}${end}`
}

export function ply(
  mesh: Mesh,
  kind: 'ascii' | 'binary_little_endian' | 'binary_big_endian',
  comment = 'made for a test',
): Uint8Array {
  const vertices = mesh.positions.length / 3
  const facets = mesh.indices.length / 3
  const header = strToU8(
    [
      'ply',
      `format ${kind} 1.0`,
      `comment ${comment}`,
      `element vertex ${vertices}`,
      'property float x',
      'property float y',
      'property float z',
      'property uchar red',
      `element face ${facets}`,
      'property uchar quality',
      'property list uchar int vertex_indices',
      'end_header',
      '',
    ].join('\n'),
  )
  if (kind === 'ascii') {
    const lines: string[] = []
    for (let v = 0; v < vertices; v++) lines.push(`${[...mesh.positions.slice(v * 3, v * 3 + 3)].join(' ')} 200`)
    for (let f = 0; f < facets; f++) lines.push(`7 3 ${[...mesh.indices.slice(f * 3, f * 3 + 3)].join(' ')}`)
    return concat(header, strToU8(`${lines.join('\n')}\n`))
  }
  const little = kind === 'binary_little_endian'
  const body = new DataView(new ArrayBuffer(vertices * 13 + facets * 14))
  let at = 0
  for (let v = 0; v < vertices; v++) {
    for (let k = 0; k < 3; k++) body.setFloat32(at + k * 4, mesh.positions[v * 3 + k]!, little)
    body.setUint8(at + 12, 200)
    at += 13
  }
  for (let f = 0; f < facets; f++) {
    body.setUint8(at, 7)
    body.setUint8(at + 1, 3)
    for (let k = 0; k < 3; k++) body.setInt32(at + 2 + k * 4, mesh.indices[f * 3 + k]!, little)
    at += 14
  }
  return concat(header, new Uint8Array(body.buffer))
}

/** Positions in metres, y up: the caller's millimetres, z up, are turned and scaled here. */
export function gltfParts(mesh: Mesh) {
  const vertices = mesh.positions.length / 3
  const binary = new Uint8Array(vertices * 12 + mesh.indices.length * 4)
  const floats = new Float32Array(binary.buffer, 0, vertices * 3)
  for (let v = 0; v < vertices; v++) {
    floats[v * 3] = mesh.positions[v * 3]! / 1000
    floats[v * 3 + 1] = mesh.positions[v * 3 + 2]! / 1000
    floats[v * 3 + 2] = -mesh.positions[v * 3 + 1]! / 1000
  }
  new Uint32Array(binary.buffer, vertices * 12).set(mesh.indices)
  const json = {
    asset: { version: '2.0' },
    scene: 0,
    scenes: [{ nodes: [0] as number[] }],
    nodes: [{ mesh: 0 }] as Record<string, unknown>[],
    meshes: [{ primitives: [{ attributes: { POSITION: 0 }, indices: 1 } as Record<string, unknown>] }],
    accessors: [
      { bufferView: 0, componentType: 5126, count: vertices, type: 'VEC3' },
      { bufferView: 1, componentType: 5125, count: mesh.indices.length, type: 'SCALAR' },
    ] as Record<string, unknown>[],
    bufferViews: [
      { buffer: 0, byteOffset: 0, byteLength: vertices * 12 },
      { buffer: 0, byteOffset: vertices * 12, byteLength: mesh.indices.length * 4 },
    ] as Record<string, unknown>[],
    buffers: [{ byteLength: binary.length }] as Record<string, unknown>[],
  }
  return { json, binary }
}

export function glbOf(json: unknown, binary: Uint8Array): Uint8Array {
  const text = strToU8(JSON.stringify(json))
  const padded = concat(text, new Uint8Array((4 - (text.length % 4)) % 4).fill(32))
  const words = (...n: number[]) => new Uint8Array(Uint32Array.from(n).buffer)
  const rest = concat(words(padded.length, 0x4e4f534a), padded, words(binary.length, 0x004e4942), binary)
  return concat(words(0x46546c67, 2, rest.length + 12), rest)
}

export function glb(mesh: Mesh): Uint8Array {
  const { json, binary } = gltfParts(mesh)
  return glbOf(json, binary)
}

export function gltf(mesh: Mesh): string {
  const { json, binary } = gltfParts(mesh)
  json.buffers[0] = {
    ...json.buffers[0],
    uri: `data:application/octet-stream;base64,${Buffer.from(binary).toString('base64')}`,
  }
  return JSON.stringify(json, null, 1)
}

export function meshXml(mesh: Mesh): string {
  const v: string[] = []
  const t: string[] = []
  for (let i = 0; i < mesh.positions.length; i += 3)
    v.push(`<vertex x="${mesh.positions[i]}" y="${mesh.positions[i + 1]}" z="${mesh.positions[i + 2]}"/>`)
  for (let f = 0; f < mesh.indices.length; f += 3)
    t.push(`<triangle v1="${mesh.indices[f]}" v2="${mesh.indices[f + 1]}" v3="${mesh.indices[f + 2]}" />`)
  return `<mesh><vertices>${v.join('\n')}</vertices><triangles>${t.join('\n')}</triangles></mesh>`
}

export const modelXml = (resources: string, build: string, attributes = ''): string =>
  `<?xml version="1.0" encoding="UTF-8"?>\n<!-- a part --><model ${attributes} xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n<resources>${resources}</resources>\n<build>${build}</build></model>\n`

export function package3mf(model: string, others: Record<string, string> = {}, level: 0 | 6 = 6): Uint8Array {
  const rels =
    '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" Target="/3D/3dmodel.model"/></Relationships>'
  const entries: Record<string, Uint8Array> = { '_rels/.rels': strToU8(rels), '3D/3dmodel.model': strToU8(model) }
  for (const [name, content] of Object.entries(others)) entries[name] = strToU8(content)
  return zipSync(entries, { level, mtime: new Date(1980, 0, 1) })
}

export const threeMf = (mesh: Mesh, attributes = ''): Uint8Array =>
  package3mf(modelXml(`<object id="1" type="model">${meshXml(mesh)}</object>`, '<item objectid="1"/>', attributes))

export function concat(...parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(parts.reduce((sum, p) => sum + p.length, 0))
  let at = 0
  for (const p of parts) {
    out.set(p, at)
    at += p.length
  }
  return out
}
