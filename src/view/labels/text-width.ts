const known = new Map<string, number>()
let pen: CanvasRenderingContext2D | null = null

/** Width of a text in px, measured once; an estimate where there is no canvas. */
export function textWidth(text: string, font: string): number {
  const key = `${font}|${text}`
  const width = known.get(key)
  if (width !== undefined) return width
  pen ??= document.createElement('canvas').getContext('2d')
  if (!pen) return text.length * 7.2
  pen.font = font
  const measured = pen.measureText(text).width
  // A font that is still being loaded must not leave its stand-in's widths behind.
  if (document.fonts.check(font)) known.set(key, measured)
  return measured
}
