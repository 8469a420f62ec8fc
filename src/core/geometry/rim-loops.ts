import { adjacency, RIM } from './adjacency'
import type { Steps } from './kernel'

/**
 * Loops of an open mesh's rim, each as vertex numbers in the direction in which its facets run it (counter-clockwise around a
 * sheet seen from outside). A rim that touches itself in a vertex is parted there. The longest loop by number of edges first.
 *
 * @param indices three per facet
 */
export function* rimLoops(indices: Uint32Array, vertexCount: number): Steps<number[][]> {
  const { across } = yield* adjacency(indices, vertexCount)
  const next = new Map<number, number[]>()
  for (let h = 0; h < across.length; h++) {
    if (across[h] !== RIM) continue
    const f = h - (h % 3)
    const a = indices[h]!
    const ways = next.get(a)
    const b = indices[f + ((h - f + 1) % 3)]!
    if (ways) ways.push(b)
    else next.set(a, [b])
  }
  const loops: number[][] = []
  for (const [start, ways] of next)
    while (ways.length > 0) {
      const loop = [start]
      for (let here = ways.pop()!; here !== start; ) {
        loop.push(here)
        const on = next.get(here)?.pop()
        if (on === undefined) break
        here = on
      }
      loops.push(loop)
    }
  return loops.sort((a, b) => b.length - a.length)
}
