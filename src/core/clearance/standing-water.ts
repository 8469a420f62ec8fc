import type { PlanGrid } from './plan-grid'

export interface Pond {
  readonly area_mm2: number
  readonly depth_mm: number
  /** Deepest place: x, y and the sheet's height there. */
  readonly at: readonly [number, number, number]
}

/** Shallower water is not counted: the sheet itself is no better known, and it dries. */
const FILM_MM = 0.5

/**
 * Water that stands on a sheet at level trim: the sheet flooded from its border inwards, always from the lowest place reached
 * so far (R. Barnes, C. Lehman, D. Mulla 2014, "Priority-flood"). Ponds are listed deepest first; on a mirrored grid a pond
 * that reaches the centreline is counted with both its halves, one off it stands for itself and its twin.
 *
 * @param inside 1 where the sheet is; elsewhere water has run off
 */
export function standingWater(grid: PlanGrid, height: Float64Array, inside: Uint8Array): Pond[] {
  const { nx, ny, h, mirrored } = grid
  const level = new Float64Array(height.length).fill(Infinity)
  const heap = new Heap(height.length)
  const neighbours = (k: number, visit: (n: number) => void) => {
    const i = k % nx
    if (i > 0) visit(k - 1)
    if (i < nx - 1) visit(k + 1)
    if (k >= nx) visit(k - nx)
    if (k < (ny - 1) * nx) visit(k + nx)
  }
  for (let k = 0; k < height.length; k++) {
    const i = k % nx
    const border = i === 0 || i === nx - 1 || k >= (ny - 1) * nx || (!mirrored && k < nx)
    if (inside[k] && !border) continue
    level[k] = -Infinity
    neighbours(k, (n) => {
      if (inside[n] && level[n] === Infinity) {
        level[n] = height[n]!
        heap.push(n, level[n]!)
      }
    })
  }
  while (heap.size > 0) {
    const k = heap.pop()
    neighbours(k, (n) => {
      if (!inside[n] || level[n] !== Infinity) return
      level[n] = Math.max(height[n]!, level[k]!)
      heap.push(n, level[n]!)
    })
  }
  const ponds: Pond[] = []
  const seen = new Uint8Array(height.length)
  const stack: number[] = []
  const deep = (k: number) => inside[k] === 1 && level[k]! - height[k]! > FILM_MM
  for (let start = 0; start < height.length; start++) {
    if (seen[start] || !deep(start)) continue
    let nodes = 0
    let deepest = start
    seen[start] = 1
    stack.push(start)
    while (stack.length > 0) {
      const k = stack.pop()!
      // A node on the centreline has half its cell on either side, all others stand twice.
      nodes += mirrored && k >= nx ? 2 : 1
      if (level[k]! - height[k]! > level[deepest]! - height[deepest]!) deepest = k
      neighbours(k, (n) => {
        if (seen[n] || !deep(n)) return
        seen[n] = 1
        stack.push(n)
      })
    }
    const i = deepest % nx
    ponds.push({
      area_mm2: nodes * h * h,
      depth_mm: level[deepest]! - height[deepest]!,
      at: [grid.x0 + i * h, grid.y0 + ((deepest - i) / nx) * h, height[deepest]!],
    })
  }
  return ponds.sort((a, b) => b.depth_mm - a.depth_mm)
}

/** Binary heap of node numbers by height, lowest first. */
class Heap {
  private readonly node: Int32Array
  private readonly key: Float64Array
  size = 0

  constructor(room: number) {
    this.node = new Int32Array(room)
    this.key = new Float64Array(room)
  }

  push(node: number, key: number): void {
    let k = this.size++
    while (k > 0) {
      const parent = (k - 1) >> 1
      if (this.key[parent]! <= key) break
      this.node[k] = this.node[parent]!
      this.key[k] = this.key[parent]!
      k = parent
    }
    this.node[k] = node
    this.key[k] = key
  }

  pop(): number {
    const top = this.node[0]!
    const node = this.node[--this.size]!
    const key = this.key[this.size]!
    let k = 0
    for (;;) {
      let child = 2 * k + 1
      if (child >= this.size) break
      if (child + 1 < this.size && this.key[child + 1]! < this.key[child]!) child++
      if (this.key[child]! >= key) break
      this.node[k] = this.node[child]!
      this.key[k] = this.key[child]!
      k = child
    }
    this.node[k] = node
    this.key[k] = key
    return top
  }
}
