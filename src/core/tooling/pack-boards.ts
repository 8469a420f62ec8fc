/** Which piece is sawn out of which board: rectangles, saw cuts from edge to edge, the saw's width counted. */

export interface SawnPiece {
  readonly length_mm: number
  readonly width_mm: number
}

export interface PlacedPiece {
  readonly board: number
  readonly x_mm: number
  readonly y_mm: number
  /** Turned: its length runs across the board. */
  readonly turned: boolean
}

interface Free {
  x: number
  y: number
  w: number
  h: number
}

/**
 * Largest first, each into the free rectangle that it fits most snugly, over all boards begun; the rest of that rectangle is
 * split in two. What is snug, whether pieces may be turned, and which way the rest is split are tried in all ways, and the
 * fewest boards win. No packing is proved to be the least; the result is given beside the bound that volume sets.
 *
 * @returns one per piece, in the order given, and the number of boards
 * @throws a defect for a piece larger than a board
 */
export function packBoards(
  pieces: readonly SawnPiece[],
  board: { readonly length_mm: number; readonly width_mm: number },
  saw_mm: number,
): Packing {
  let best: Packing | null = null
  for (const snug of SNUG)
    for (const mayTurn of [true, false])
      for (const split of ['larger', 'along', 'across'] as const) {
        const packing = packOnce(pieces, board, saw_mm, { snug, mayTurn, split })
        if (!best || packing.boards < best.boards) best = packing
      }
  return best!
}

export interface Packing {
  readonly placed: readonly PlacedPiece[]
  readonly boards: number
}

interface Way {
  readonly snug: (restW: number, restH: number) => number
  readonly mayTurn: boolean
  readonly split: 'larger' | 'along' | 'across'
}

const SNUG: readonly Way['snug'][] = [(w, h) => Math.min(w, h), (w, h) => Math.max(w, h), (w, h) => w + h]

function packOnce(
  pieces: readonly SawnPiece[],
  board: { readonly length_mm: number; readonly width_mm: number },
  saw_mm: number,
  way: Way,
): Packing {
  const order = pieces
    .map((_, i) => i)
    .sort((a, b) => {
      const [p, q] = [pieces[a]!, pieces[b]!]
      return (
        Math.max(q.length_mm, q.width_mm) - Math.max(p.length_mm, p.width_mm) ||
        q.length_mm * q.width_mm - p.length_mm * p.width_mm ||
        a - b
      )
    })
  const placed: PlacedPiece[] = new Array(pieces.length)
  const free: Free[][] = []
  for (const i of order) {
    const piece = pieces[i]!
    const spot = bestSpot(free, piece, way) ?? openBoard(free, piece, board, way)
    const w = spot.turned ? piece.width_mm : piece.length_mm
    const h = spot.turned ? piece.length_mm : piece.width_mm
    const list = free[spot.board]!
    const [into] = list.splice(spot.at, 1)
    placed[i] = { board: spot.board, x_mm: into!.x, y_mm: into!.y, turned: spot.turned }
    const restW = into!.w - w - saw_mm
    const restH = into!.h - h - saw_mm
    const acrossFirst = way.split === 'larger' ? restW * into!.h > into!.w * restH : way.split === 'across'
    if (restW > LEAST_MM) list.push({ x: into!.x + w + saw_mm, y: into!.y, w: restW, h: acrossFirst ? into!.h : h })
    if (restH > LEAST_MM) list.push({ x: into!.x, y: into!.y + h + saw_mm, w: acrossFirst ? w : into!.w, h: restH })
  }
  return { placed, boards: free.length }
}

/** Offcuts narrower than this are waste. */
const LEAST_MM = 10
const FITS_MM = 1e-6

interface Spot {
  readonly board: number
  readonly at: number
  readonly turned: boolean
}

function bestSpot(free: readonly Free[][], piece: SawnPiece, way: Way): Spot | null {
  let best: Spot | null = null
  let least = Infinity
  for (let b = 0; b < free.length; b++)
    for (let k = 0; k < free[b]!.length; k++) {
      const f = free[b]![k]!
      for (const turned of way.mayTurn ? [false, true] : [false]) {
        const w = turned ? piece.width_mm : piece.length_mm
        const h = turned ? piece.length_mm : piece.width_mm
        if (w > f.w + FITS_MM || h > f.h + FITS_MM) continue
        const rest = way.snug(f.w - w, f.h - h)
        if (rest < least - 1e-9) {
          least = rest
          best = { board: b, at: k, turned }
        }
      }
    }
  return best
}

function openBoard(
  free: Free[][],
  piece: SawnPiece,
  board: { readonly length_mm: number; readonly width_mm: number },
  way: Way,
): Spot {
  free.push([{ x: 0, y: 0, w: board.length_mm, h: board.width_mm }])
  const own = bestSpot([free.at(-1)!], piece, way)
  if (!own) throw new Error(`tooling: a piece of ${piece.length_mm} × ${piece.width_mm} mm is larger than its board`)
  return { ...own, board: free.length - 1 }
}
