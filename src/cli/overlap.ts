import initManifold from 'manifold-3d'
import type { Mesh } from '../core/geometry/mesh'

/** What two bodies have in common. */
export interface Overlap {
  /** `null`: at least one of the two is no closed solid, so nothing has an inside. */
  readonly volume_mm3: number | null
  /** Why there is no volume; `null` where there is one. */
  readonly why: string | null
}

/** Corners of b about the origin of a: the solid library knows no origins. */
function about(mesh: Mesh, origin: readonly number[]): Float32Array {
  return mesh.positions.map((v, i) => v + (mesh.origin[i % 3]! - origin[i % 3]!))
}

/**
 * Volume that two closed meshes share, by the general solid library (manifold-3d: boolean of solids with guaranteed
 * manifoldness). It takes each mesh as it is or says why not; nothing is mended.
 */
export async function overlapOf(a: Mesh, b: Mesh): Promise<Overlap> {
  const wasm = await initManifold()
  wasm.setup()
  const made: InstanceType<typeof wasm.Manifold>[] = []
  try {
    for (const [name, mesh] of [
      ['A', a],
      ['B', b],
    ] as const) {
      try {
        const solid = new wasm.Manifold(
          new wasm.Mesh({
            numProp: 3,
            vertProperties: about(mesh, a.origin),
            triVerts: mesh.indices.slice(),
          }),
        )
        made.push(solid)
        if (solid.status() !== 'NoError') return none(name, solid.status())
      } catch (error) {
        return none(name, error instanceof Error ? error.message : String(error))
      }
    }
    const common = wasm.Manifold.intersection(made[0]!, made[1]!)
    made.push(common)
    return { volume_mm3: Math.max(0, common.volume()), why: null }
  } finally {
    for (const solid of made) solid.delete()
  }
}

const none = (name: string, why: string): Overlap => ({
  volume_mm3: null,
  why: `${name} is no closed solid (${why}), so the two have no volume in common that could be measured`,
})
