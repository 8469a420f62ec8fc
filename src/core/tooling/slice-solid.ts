/** Plane sections of a closed mesh across z, as polygons with outer borders counter-clockwise and holes clockwise. */
import type { Mesh } from '../geometry/mesh'

/** x y pairs, mm, closed without repeating the first corner. */
export type Polygon = readonly (readonly [number, number])[]

/**
 * @param mesh closed, outward normals (`isClosed`); a corner exactly at z counts as above, so every section is whole
 * @throws a defect if the mesh is open
 */
export function sliceSolid(mesh: Mesh, z_mm: number): Polygon[] {
  const { positions: p, indices, origin } = mesh
  const z = z_mm - origin[2]
  const count = p.length / 3
  const next = new Map<number, number>() // crossed edge → the crossed edge that follows it
  const place = new Map<number, readonly [number, number]>()
  const edge = (a: number, b: number): number => {
    const key = a < b ? a * count + b : b * count + a
    if (!place.has(key)) {
      const [low, high] = a < b ? [3 * a, 3 * b] : [3 * b, 3 * a]
      const t = (z - p[low + 2]!) / (p[high + 2]! - p[low + 2]!)
      place.set(key, [
        p[low]! + t * (p[high]! - p[low]!) + origin[0],
        p[low + 1]! + t * (p[high + 1]! - p[low + 1]!) + origin[1],
      ])
    }
    return key
  }
  for (let f = 0; f < indices.length; f += 3) {
    const up0 = p[3 * indices[f]! + 2]! >= z
    const up1 = p[3 * indices[f + 1]! + 2]! >= z
    const up2 = p[3 * indices[f + 2]! + 2]! >= z
    if (up0 === up1 && up1 === up2) continue
    // Walking the facet, from the crossing that goes down to the one that goes up the inside lies to the left.
    let from = -1
    let to = -1
    for (let k = 0; k < 3; k++) {
      const a = indices[f + k]!
      const b = indices[f + ((k + 1) % 3)]!
      const upA = p[3 * a + 2]! >= z
      const upB = p[3 * b + 2]! >= z
      if (upA && !upB) to = edge(a, b)
      else if (!upA && upB) from = edge(a, b)
    }
    next.set(from, to)
  }
  const polygons: Polygon[] = []
  while (next.size > 0) {
    const first = next.keys().next().value as number
    const polygon: (readonly [number, number])[] = []
    for (let key = first; ; ) {
      polygon.push(place.get(key)!)
      const to = next.get(key)
      if (to === undefined) throw new Error('tooling: a section of a solid that is not closed')
      next.delete(key)
      if (to === first) break
      key = to
    }
    if (polygon.length > 2) polygons.push(polygon)
  }
  // Which way round depends on how the walk is read; outer borders are made counter-clockwise as a whole.
  let area = 0
  for (const polygon of polygons) area += polygonArea_mm2(polygon)
  return area < 0 ? polygons.map((polygon) => [...polygon].reverse()) : polygons
}

/** Signed: positive counter-clockwise. */
export function polygonArea_mm2(polygon: Polygon): number {
  let twice = 0
  for (let k = 0, j = polygon.length - 1; k < polygon.length; j = k++)
    twice += polygon[j]![0] * polygon[k]![1] - polygon[k]![0] * polygon[j]![1]
  return twice / 2
}
