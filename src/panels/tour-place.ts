/** Where a note stands beside what it is about, and the line from one to the other. Pure: boxes in, a box and a line out. */
export interface Box {
  readonly left: number
  readonly top: number
  readonly width: number
  readonly height: number
}

export interface NotePlace {
  readonly left: number
  readonly top: number
  /** From the note to what it is about; x, y, x, y. */
  readonly line: readonly [number, number, number, number]
}

/** Length of the line where there is room for it, px. */
const REACH_PX = 52
const EDGE_PX = 16

/**
 * On the side of `about` where most of the page is left; where none takes the note, it is pushed in from the edge and covers
 * what it must.
 * @param note only its size is read
 */
export function placeNote(page: { width: number; height: number }, about: Box, note: Box): NotePlace {
  const right = page.width - about.left - about.width
  const below = page.height - about.top - about.height
  const spare = {
    right: right - note.width,
    left: about.left - note.width,
    below: below - note.height,
    above: about.top - note.height,
  }
  const side = (Object.keys(spare) as (keyof typeof spare)[]).reduce((a, b) => (spare[b] > spare[a] ? b : a))
  const middle_x = about.left + about.width / 2
  const middle_y = about.top + about.height / 2
  const wished = {
    right: [about.left + about.width + REACH_PX, middle_y - note.height / 2],
    left: [about.left - REACH_PX - note.width, middle_y - note.height / 2],
    below: [middle_x - note.width / 2, about.top + about.height + REACH_PX],
    above: [middle_x - note.width / 2, about.top - REACH_PX - note.height],
  }[side] as [number, number]
  const left = within(wished[0], EDGE_PX, page.width - note.width - EDGE_PX)
  const top = within(wished[1], EDGE_PX, page.height - note.height - EDGE_PX)
  const across = side === 'right' || side === 'left'
  const from_x = across ? (side === 'right' ? left : left + note.width) : left + note.width / 2
  const from_y = across ? top + note.height / 2 : side === 'below' ? top : top + note.height
  return {
    left,
    top,
    line: [
      from_x,
      from_y,
      within(from_x, about.left, about.left + about.width),
      within(from_y, about.top, about.top + about.height),
    ],
  }
}

const within = (value: number, low: number, high: number): number => Math.max(low, Math.min(high, value))
