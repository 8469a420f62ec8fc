/**
 * What lies under the pointer: exact rays against search trees, which are built when the page has time, indirect (the
 * default would reorder our facets, and every field is per facet). Large meshes get theirs in a worker.
 */
import {
  BufferAttribute,
  type BufferGeometry,
  DoubleSide,
  BufferGeometry as Geometry,
  Matrix4,
  type Object3D,
  Ray,
  Vector3,
} from 'three'
import { MeshBVH } from 'three-mesh-bvh'
import { GenerateMeshBVHWorker } from 'three-mesh-bvh/worker'
import { unproject, type Vec3 } from '../camera/eye'
import type { EyeMoment } from '../camera/eye-rig'

export type PickKind = 'frame' | 'underside' | 'topside' | 'fitting'

interface Pickable {
  readonly geometry: BufferGeometry
  readonly kind: PickKind
  /** Null: the geometry stands where it was built. */
  readonly object: Object3D | null
  readonly id: string | null
}

export interface Picked {
  readonly kind: PickKind
  readonly id: string | null
  readonly facet: number
  readonly at: Vec3
}

export interface PickRegister {
  add(pickable: Pickable): () => void
  /** The nearest hit that `keep` allows, or null. Meshes whose tree is not there yet do not answer. */
  pick(moment: EyeMoment, x_px: number, y_px: number, keep: (kind: PickKind, at: Vec3) => boolean): Picked | null
  /** Height of the shell over a place in plan: the top of the topside, the bottom of the underside. Null outside of it. */
  heightOf(kind: 'underside' | 'topside', x: number, y: number): number | null
  dispose(): void
}

/** Up to here a tree is built in the blink of an eye, when it is first asked. */
const AT_ONCE_TO_FACETS = 12_000
/** Above this a tree takes longer than a frame or three; it is built in a worker. */
const IN_WORKER_FROM_FACETS = 80_000

export function createPickRegister(): PickRegister {
  const all = new Set<Pickable>()
  const trees = new WeakMap<BufferGeometry, MeshBVH>()
  const waiting: Pickable[] = []
  let worker: GenerateMeshBVHWorker | null = null
  let busy = false
  let gone = false

  const whenIdle = (task: () => void) =>
    'requestIdleCallback' in window ? window.requestIdleCallback(task, { timeout: 600 }) : setTimeout(task, 200)

  const next = () => {
    if (busy || gone) return
    const pickable = waiting.shift()
    if (!pickable) return
    if (!all.has(pickable) || trees.has(pickable.geometry)) {
      next()
      return
    }
    busy = true
    whenIdle(() => {
      void build(pickable.geometry)
        .then((tree) => {
          trees.set(pickable.geometry, tree)
        })
        .catch((error: unknown) => {
          if (!gone) throw error
        })
        .finally(() => {
          busy = false
          next()
        })
    })
  }

  const build = async (geometry: BufferGeometry): Promise<MeshBVH> => {
    const position = geometry.getAttribute('position')
    if (facetsOf(geometry) < IN_WORKER_FROM_FACETS) return new MeshBVH(geometry, { indirect: true })
    // The worker takes the arrays with it, so it gets copies; the drawn ones stay.
    const copy = new Geometry()
    copy.setAttribute('position', new BufferAttribute((position.array as Float32Array).slice(), 3))
    if (geometry.index) copy.setIndex(new BufferAttribute((geometry.index.array as Uint32Array).slice(), 1))
    worker ??= new GenerateMeshBVHWorker()
    const tree = await worker.generate(copy, { indirect: true })
    return MeshBVH.deserialize(MeshBVH.serialize(tree, { cloneBuffers: false }), geometry, { setIndex: false })
  }

  const treeOf = (geometry: BufferGeometry): MeshBVH | null => {
    const known = trees.get(geometry)
    if (known) return known
    if (facetsOf(geometry) > AT_ONCE_TO_FACETS) return null
    const made = new MeshBVH(geometry, { indirect: true })
    trees.set(geometry, made)
    return made
  }

  const ray = new Ray()
  const local = new Ray()
  const inverse = new Matrix4()
  const place = new Vector3()

  return {
    add(pickable) {
      all.add(pickable)
      if (facetsOf(pickable.geometry) > AT_ONCE_TO_FACETS) {
        waiting.push(pickable)
        next()
      }
      return () => all.delete(pickable)
    },
    pick({ eye, basis, free }, x_px, y_px, keep) {
      const through = unproject(eye, basis, free, x_px, y_px)
      ray.origin.set(...through).addScaledVector(place.set(...basis.back), 50_000)
      ray.direction.set(-basis.back[0], -basis.back[1], -basis.back[2])
      let best: Picked | null = null
      let nearest = Infinity
      for (const { geometry, kind, object, id } of all) {
        const tree = treeOf(geometry)
        if (!tree) continue
        local.copy(ray)
        if (object) local.applyMatrix4(inverse.copy(object.matrixWorld).invert())
        for (const hit of tree.raycast(local, DoubleSide)) {
          if (hit.distance >= nearest) continue
          place.copy(hit.point)
          if (object) place.applyMatrix4(object.matrixWorld)
          const at: Vec3 = [place.x, place.y, place.z]
          if (!keep(kind, at)) continue
          nearest = hit.distance
          best = { kind, id, facet: hit.faceIndex ?? -1, at }
        }
      }
      return best
    },
    heightOf(kind, x, y) {
      const up = kind === 'underside' ? 1 : -1
      for (const { geometry, kind: of } of all) {
        const tree = of === kind ? trees.get(geometry) : undefined
        if (!tree) continue
        ray.origin.set(x, y, -up * 50_000)
        ray.direction.set(0, 0, up)
        return tree.raycastFirst(ray, DoubleSide)?.point.z ?? null
      }
      return null
    },
    dispose() {
      gone = true
      all.clear()
      waiting.length = 0
      worker?.dispose()
    },
  }
}

const facetsOf = (geometry: BufferGeometry): number =>
  (geometry.index?.count ?? geometry.getAttribute('position').count) / 3
