/**
 * How a surface passes through a cell of a grid whose eight corners are solid or empty: the table of marching cubes, made by
 * rule instead of by hand. (W. Lorensen, H. Cline, Marching cubes, SIGGRAPH 1987; the consistent treatment of faces with two
 * solid corners across from each other follows from judging each face by itself.)
 *
 * Corner c stands at x = c & 1, y = (c >> 1) & 1, z = c >> 2. Edge e = 4 · axis + n is the n-th edge along that axis.
 * On a face with two solid corners across from each other the solid is joined: material is added, never taken away, so an
 * offset surface is not brought nearer to what it must stay clear of.
 */

/** Lower corner of each edge, and its axis is `e >> 2`. */
export const EDGE_CORNER: readonly number[] = [0, 2, 4, 6, 0, 1, 4, 5, 0, 1, 2, 3]

const edgeBetween = (a: number, b: number): number => {
  const axis = (a ^ b) >> 1 // 1, 2, 4 to 0, 1, 2
  const low = Math.min(a, b)
  for (let e = 4 * axis; e < 4 * axis + 4; e++) if (EDGE_CORNER[e] === low) return e
  throw new Error('clearance: no such edge of a cube')
}

/** Corners of each face, counter-clockwise seen from outside the cell. */
const FACES: readonly (readonly number[])[] = [
  [0, 4, 6, 2],
  [1, 3, 7, 5],
  [0, 1, 5, 4],
  [2, 6, 7, 3],
  [0, 2, 3, 1],
  [4, 5, 7, 6],
]

/** Faces that hold an edge. */
const FACES_OF_EDGE: readonly number[] = Array.from({ length: 12 }, (_, e) => {
  const a = EDGE_CORNER[e]!
  const b = a | (1 << (e >> 2))
  return FACES.reduce((bits, corners, f) => (corners.includes(a) && corners.includes(b) ? bits | (1 << f) : bits), 0)
})

/** Closed loops of edges, empty space on their outer side, for one arrangement of corners (bit c set: corner c is solid). */
function loopsOf(solid: number): number[][] {
  const next = new Map<number, number>()
  for (const corners of FACES) {
    const at = (q: number) => (solid >> corners[q & 3]!) & 1
    for (let q = 0; q < 4; q++) {
      // Walking round the face: out of the solid here; the cut runs to where the solid begins again.
      if (!(at(q) === 1 && at(q + 1) === 0)) continue
      let r = q + 1
      while (!(at(r) === 0 && at(r + 1) === 1)) r++
      // Seen from the other cell of this face the same cut runs the other way.
      next.set(edgeBetween(corners[r & 3]!, corners[(r + 1) & 3]!), edgeBetween(corners[q]!, corners[(q + 1) & 3]!))
    }
  }
  const loops: number[][] = []
  while (next.size > 0) {
    const loop: number[] = []
    let e = next.keys().next().value!
    for (let n = next.get(e); n !== undefined; n = next.get(e)) {
      next.delete(e)
      loop.push(e)
      e = n
    }
    loops.push(loop)
  }
  return loops
}

/**
 * Cuts a loop into triangles none of whose inner sides lies in a face of the cell: the neighbour could draw the same side,
 * and four triangles would meet there.
 *
 * @returns null if there is no such way
 */
function triangulate(loop: readonly number[]): number[] | null {
  if (loop.length === 3) return [...loop]
  const n = loop.length
  const shareFace = (i: number, j: number) => (FACES_OF_EDGE[loop[i]!]! & FACES_OF_EDGE[loop[j]!]!) !== 0
  const neighbours = (i: number, j: number) => (i + 1) % n === j || (j + 1) % n === i
  // The side from the last to the first edge of the loop belongs to one triangle: try every third corner.
  for (let k = 1; k < n - 1; k++) {
    if (!neighbours(0, k) && shareFace(0, k)) continue
    if (!neighbours(k, n - 1) && shareFace(k, n - 1)) continue
    const before = k === 1 ? [] : triangulate(loop.slice(0, k + 1))
    const after = k === n - 2 ? [] : triangulate(loop.slice(k))
    if (before && after) return [...before, ...after, loop[0]!, loop[k]!, loop[n - 1]!]
  }
  return null
}

/** For each of the 256 arrangements: triangles as triples of edge numbers, counter-clockwise seen from the empty side. */
export const TRIANGLES: readonly (readonly number[])[] = Array.from({ length: 256 }, (_, solid) =>
  loopsOf(solid).flatMap((loop) => {
    const triangles = triangulate(loop)
    if (!triangles) throw new Error('clearance: a way through a cell that no triangles fit')
    return triangles
  }),
)
