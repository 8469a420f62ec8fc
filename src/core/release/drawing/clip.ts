/** Shapes cut off at a window. */
import type { Box, Place2, Shape } from './drawing'

/** Drops what lies wholly outside a window and breaks open lines at it. */
export function clipped(shapes: readonly Shape[], box: Box): Shape[] {
  const inside = ([x, y]: Place2) => x >= box.x0 && x <= box.x1 && y >= box.y0 && y <= box.y1
  return shapes.flatMap((s): Shape[] => {
    if (s.kind === 'text') return inside(s.at) ? [s] : []
    if (s.fill) {
      const parts = s.parts.map((part) => cutPolygon(part, box)).filter((part) => part.length > 2)
      return parts.length > 0 ? [{ ...s, parts }] : []
    }
    const parts: Place2[][] = []
    for (const part of s.parts) {
      let run: Place2[] = []
      for (const p of part) {
        if (inside(p)) run.push(p)
        else {
          if (run.length > 1) parts.push(run)
          run = []
        }
      }
      if (run.length > 1) parts.push(run)
    }
    return parts.length > 0 ? [{ ...s, parts, closed: false }] : []
  })
}

/** A polygon against a window, edge by edge (Sutherland and Hodgman). */
function cutPolygon(points: readonly Place2[], box: Box): Place2[] {
  const edges: readonly [0 | 1, number, 1 | -1][] = [
    [0, box.x0, 1],
    [0, box.x1, -1],
    [1, box.y0, 1],
    [1, box.y1, -1],
  ]
  let left = [...points]
  for (const [axis, at, sign] of edges) {
    const next: Place2[] = []
    for (let i = 0; i < left.length; i++) {
      const a = left[(i + left.length - 1) % left.length]!
      const b = left[i]!
      const [da, db] = [sign * (a[axis] - at), sign * (b[axis] - at)]
      const t = da / (da - db)
      if (da >= 0 !== db >= 0) next.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])])
      if (db >= 0) next.push(b)
    }
    left = next
  }
  return left
}
