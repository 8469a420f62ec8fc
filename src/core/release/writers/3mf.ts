/**
 * 3MF: a zip with one model in XML. Unit millimetre, every object with its name and colour; an open face is of the type
 * "surface", which the format allows to be open. (3MF Core Specification 1.4.0, 3MF Consortium: sections 4 and 5.)
 */
import { BLOCK, type Steps, within } from '../../geometry/kernel'
import type { Mesh } from '../../geometry/mesh'
import type { Colour, PackPart } from '../parts'
import { zipPack } from '../zip-pack'

export interface ThreeMfWords {
  readonly title: string
  /** Program and version. */
  readonly program: string
}

/**
 * @param parts all in the same axes, mm; a facet that names a vertex twice has no area and is left out, as the format asks
 * @returns the file; coordinates with nine significant digits, so that each Float32 reads back as itself
 * @example const bytes = drain(write3mf(solidParts(results), { title: 'Canopy', program: 'Mouldwright 0.1.0' }))
 */
export function* write3mf(parts: readonly PackPart[], words: ThreeMfWords): Steps<Uint8Array> {
  const model = yield* within(0, 0.7, 'model', modelXml(parts, words))
  const text = (xml: string) => new TextEncoder().encode(`${XML}${xml}\n`)
  return yield* within(
    0.7,
    1,
    'zip',
    zipPack([
      { path: '[Content_Types].xml', bytes: text(TYPES) },
      { path: '_rels/.rels', bytes: text(RELATIONS) },
      { path: '3D/3dmodel.model', bytes: model },
    ]),
  )
}

const XML = '<?xml version="1.0" encoding="UTF-8"?>\n'
const TYPES =
  '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>'
const RELATIONS =
  '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>'

function* modelXml(parts: readonly PackPart[], { title, program }: ThreeMfWords): Steps<Uint8Array> {
  const blocks: Uint8Array[] = []
  const put = (text: string) => blocks.push(new TextEncoder().encode(text))
  put(
    `${XML}<model unit="millimeter" xml:lang="en" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">\n` +
      `<metadata name="Title">${xmlText(title)}</metadata>\n<metadata name="Application">${xmlText(program)}</metadata>\n` +
      `<resources>\n<basematerials id="1">\n${parts
        .map((p) => `<base name="${xmlText(p.name)}" displaycolor="${hex(p.colour)}"/>\n`)
        .join('')}</basematerials>\n`,
  )
  for (const [i, part] of parts.entries()) {
    put(
      `<object id="${i + 2}" name="${xmlText(part.name)}" type="${part.closed ? 'model' : 'surface'}" pid="1" pindex="${i}">\n<mesh>\n<vertices>\n`,
    )
    yield* within(i / parts.length, (i + 0.5) / parts.length, part.name, putVertices(part.mesh, put))
    put('</vertices>\n<triangles>\n')
    yield* within((i + 0.5) / parts.length, (i + 1) / parts.length, part.name, putTriangles(part.mesh, put))
    put('</triangles>\n</mesh>\n</object>\n')
  }
  put(`</resources>\n<build>\n${parts.map((_, i) => `<item objectid="${i + 2}"/>\n`).join('')}</build>\n</model>\n`)
  return joined(blocks)
}

function* putVertices({ positions: p, origin }: Mesh, put: (text: string) => void): Steps<void> {
  for (let from = 0; from < p.length; from += 3 * BLOCK) {
    let text = ''
    for (let v = from; v < Math.min(p.length, from + 3 * BLOCK); v += 3)
      text += `<vertex x="${nine(p[v]! + origin[0])}" y="${nine(p[v + 1]! + origin[1])}" z="${nine(p[v + 2]! + origin[2])}"/>\n`
    put(text)
    yield from / p.length
  }
}

function* putTriangles({ indices }: Mesh, put: (text: string) => void): Steps<void> {
  for (let from = 0; from < indices.length; from += 3 * BLOCK) {
    let text = ''
    for (let f = from; f < Math.min(indices.length, from + 3 * BLOCK); f += 3) {
      const [a, b, c] = [indices[f]!, indices[f + 1]!, indices[f + 2]!]
      if (a !== b && b !== c && c !== a) text += `<triangle v1="${a}" v2="${b}" v3="${c}"/>\n`
    }
    put(text)
    yield from / indices.length
  }
}

/** Nine significant digits name every Float32; −0 and the zeros at the end go. Rounding of `toPrecision` is exact in every engine. */
const nine = (value: number): string => String(Number(value.toPrecision(9)) + 0)

const hex = (c: Colour): string => `#${c.map((v) => v.toString(16).padStart(2, '0')).join('')}FF`.toUpperCase()

/** Characters that XML cannot hold at all become blanks: names come from files. */
const xmlText = (text: string): string =>
  [...text]
    .map((c) => (c < ' ' || c === '\ufffe' || c === '\uffff' || /^[\ud800-\udfff]$/.test(c) ? ' ' : c))
    .join('')
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')

function joined(blocks: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(blocks.reduce((sum, b) => sum + b.length, 0))
  let at = 0
  for (const block of blocks) {
    all.set(block, at)
    at += block.length
  }
  return all
}
