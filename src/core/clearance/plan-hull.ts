import type { Mesh } from '../geometry/mesh'

/**
 * The convex outline of a face in plan, counter-clockwise, closed by its first corner, and the mean height of the vertices
 * that carry it. It stands for the outline where a shell was not drawn from one: for the eye and for proposals, never for a
 * verdict. Monotone chain (Andrew 1979, from memory).
 *
 * @returns x y pairs, mm
 */
export function planHull({ positions: p, origin }: Mesh): { outline: Float64Array; height_mm: number } {
  const order = Array.from({ length: p.length / 3 }, (_, v) => v).sort(
    (a, b) => p[3 * a]! - p[3 * b]! || p[3 * a + 1]! - p[3 * b + 1]! || a - b,
  )
  const side = (a: number, b: number, c: number) =>
    (p[3 * b]! - p[3 * a]!) * (p[3 * c + 1]! - p[3 * a + 1]!) -
    (p[3 * b + 1]! - p[3 * a + 1]!) * (p[3 * c]! - p[3 * a]!)
  const half = (vertices: readonly number[]) => {
    const chain: number[] = []
    for (const v of vertices) {
      while (chain.length > 1 && side(chain.at(-2)!, chain.at(-1)!, v) <= 0) chain.pop()
      chain.push(v)
    }
    return chain.slice(0, -1)
  }
  const hull = [...half(order), ...half(order.slice().reverse())]
  const outline = new Float64Array(2 * hull.length + 2)
  let height = 0
  for (let k = 0; k <= hull.length; k++) {
    const v = hull[k % hull.length]!
    outline[2 * k] = p[3 * v]! + origin[0]
    outline[2 * k + 1] = p[3 * v + 1]! + origin[1]
    if (k < hull.length) height += (p[3 * v + 2]! + origin[2]) / hull.length
  }
  return { outline, height_mm: height }
}
