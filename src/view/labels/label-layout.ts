/**
 * Where the rings of findings stand: each at the end of a leader, none over another, none under a box of the sheet, no two
 * leaders crossing where that can be had. A small greedy search over places around each anchor; an earlier place is kept
 * unless a clearly better one turns up, so that rings do not jump while the camera moves.
 */
export interface Box {
  readonly left: number
  readonly top: number
  readonly right: number
  readonly bottom: number
}

export interface LabelWish {
  /** The spot on the part, sheet px. */
  readonly x: number
  readonly y: number
  /** Width of the words beside the ring, px. */
  readonly words_px: number
  /** The place chosen last time, −1 for none. */
  readonly before: number
}

export interface LabelPlace {
  readonly x: number
  readonly y: number
  readonly side: 'left' | 'right'
  /** Number of the place, to be handed back as `before`. */
  readonly place: number
}

export const RING_PX = 11
const WORDS_HEIGHT_PX = 18
const REACHES_PX = [58, 92, 132, 36]
const TURNS = 12

/** All places: reach, direction and side, the likely ones first. Directions run from straight up outwards. */
const PLACES = REACHES_PX.flatMap((reach, r) =>
  Array.from({ length: TURNS }, (_, i) => {
    const turn = (i % 2 === 0 ? -1 : 1) * Math.ceil(i / 2) * ((2 * Math.PI) / TURNS) - 0.35
    const dx = Math.sin(turn) * reach
    return (['left', 'right'] as const).map((side) => ({
      dx,
      dy: -Math.cos(turn) * reach,
      side,
      // Upwards and near is liked; words lead away from the spot.
      cost: r * 6 + i * 2.5 + (side === (dx <= 0 ? 'left' : 'right') ? 0 : 5),
    }))
  }).flat(),
)

/** @param taken boxes that nothing may cover: legend, title block, glass */
export function layLabels(wishes: readonly LabelWish[], room: Box, taken: readonly Box[]): LabelPlace[] {
  const boxes: Box[] = [...taken]
  const leaders: [number, number, number, number][] = []
  return wishes.map((wish) => {
    let best = 0
    let bestCost = Infinity
    PLACES.forEach((place, i) => {
      const x = wish.x + place.dx
      const y = wish.y + place.dy
      const box = labelBox(x, y, wish.words_px, place.side)
      let cost = place.cost + (i === wish.before ? -14 : 0) + 3 * outsideOf(box, room)
      for (const other of boxes) cost += overlap(box, other) > 0 ? 80 + overlap(box, other) / 20 : 0
      for (const [ax, ay, bx, by] of leaders) {
        if (cross(wish.x, wish.y, x, y, ax, ay, bx, by)) cost += 60
        if (segmentMeetsBox(ax, ay, bx, by, box)) cost += 60
      }
      for (const other of boxes) if (segmentMeetsBox(wish.x, wish.y, x, y, other)) cost += 25
      for (const other of wishes) if (other !== wish && inside(other.x, other.y, box)) cost += 30
      if (cost < bestCost) {
        bestCost = cost
        best = i
      }
    })
    const { dx, dy, side } = PLACES[best]!
    const x = wish.x + dx
    const y = wish.y + dy
    boxes.push(labelBox(x, y, wish.words_px, side))
    leaders.push([wish.x, wish.y, x, y])
    return { x, y, side, place: best }
  })
}

export function labelBox(x: number, y: number, words_px: number, side: 'left' | 'right'): Box {
  const reach = words_px > 0 ? words_px + 6 : 0
  const high = Math.max(RING_PX, WORDS_HEIGHT_PX / 2) + 1
  return {
    left: x - RING_PX - (side === 'left' ? reach : 0),
    right: x + RING_PX + (side === 'right' ? reach : 0),
    top: y - high,
    bottom: y + high,
  }
}

export const overlap = (a: Box, b: Box): number =>
  Math.max(0, Math.min(a.right, b.right) - Math.max(a.left, b.left)) *
  Math.max(0, Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top))

const outsideOf = (box: Box, room: Box): number =>
  Math.max(0, room.left - box.left) +
  Math.max(0, room.top - box.top) +
  Math.max(0, box.right - room.right) +
  Math.max(0, box.bottom - room.bottom)

const inside = (x: number, y: number, b: Box): boolean => x >= b.left && x <= b.right && y >= b.top && y <= b.bottom

function cross(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): boolean {
  const side = (px: number, py: number, qx: number, qy: number, rx: number, ry: number) =>
    Math.sign((qx - px) * (ry - py) - (qy - py) * (rx - px))
  return (
    side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) < 0 &&
    side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) < 0
  )
}

function segmentMeetsBox(ax: number, ay: number, bx: number, by: number, box: Box): boolean {
  if (inside(ax, ay, box) || inside(bx, by, box)) return true
  const { left, top, right, bottom } = box
  return cross(ax, ay, bx, by, left, top, right, bottom) || cross(ax, ay, bx, by, left, bottom, right, top)
}
