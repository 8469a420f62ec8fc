import { escaped } from '../writers/html'
import type { Drawing, Place2, Shape } from './drawing'

/** A drawing as SVG, paper millimetres; text stays text. */
export function svgOf(drawing: Drawing, standalone = false): string {
  const { box, scale } = drawing
  const wide = (box.x1 - box.x0) * scale
  const high = (box.y1 - box.y0) * scale
  const put = ([x, y]: Place2): string => `${num((x - box.x0) * scale)},${num((box.y1 - y) * scale)}`
  const body = drawing.shapes.map((s) => shapeSvg(s, put)).join('')
  const size = standalone
    ? ` xmlns="http://www.w3.org/2000/svg" width="${num(wide)}mm" height="${num(high)}mm" font-family="'Alegreya Sans','DejaVu Sans',sans-serif"`
    : ''
  const paper = standalone ? `<rect width="${num(wide)}" height="${num(high)}" fill="#ffffff"/>` : ''
  return `<svg viewBox="0 0 ${num(wide)} ${num(high)}"${size} role="img" aria-label="${escaped(drawing.title)}">${paper}${body}</svg>`
}

function shapeSvg(shape: Shape, put: (p: Place2) => string): string {
  if (shape.kind === 'text') {
    const [x, y] = put(shape.at).split(',')
    const turn = shape.turned ? ` transform="rotate(-90 ${x} ${y})"` : ''
    const anchor = shape.anchor && shape.anchor !== 'start' ? ` text-anchor="${shape.anchor}"` : ''
    const bold = shape.bold ? ' font-weight="700"' : ''
    return `<text x="${x}" y="${y}" font-size="${num(shape.size * LETTER)}" fill="${shape.ink ?? '#1e2428'}"${anchor}${bold}${turn}>${escaped(shape.text)}</text>`
  }
  const d = shape.parts
    .filter((part) => part.length > 1)
    .map((part) => `M${part.map(put).join('L')}${shape.closed ? 'Z' : ''}`)
    .join('')
  if (d === '') return ''
  const fill = shape.fill ? ` fill="${shape.fill}" fill-rule="evenodd"` : ' fill="none"'
  const dash = shape.dash ? ` stroke-dasharray="${shape.dash.join(' ')}"` : ''
  const stroke = shape.stroke ? ` stroke="${shape.stroke}" stroke-width="${num(shape.width ?? 0.25)}"${dash}` : ''
  return `<path d="${d}"${fill}${stroke}/>`
}

/** A letter of this height stands in a font of so much more. */
export const LETTER = 1.3

/** Two digits after the point, no −0. */
const num = (v: number): string => String(Number(v.toFixed(2)) + 0)
