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
import type { DisplayCopy } from '../../core/geometry/display-copy'
import type { Mesh } from '../../core/geometry/mesh'
import { scaleAt, sightAt, type Vec3 } from '../camera/eye'
import type { EyeMoment } from '../camera/eye-rig'
import { CORNER_PX, type Held, snap } from '../measuring/snap'
import { wholeFacets, wholeHit, wholeNearest } from './whole-facets'

export type PickKind = 'frame' | 'underside' | 'topside' | 'fitting'

interface Pickable {
  readonly geometry: BufferGeometry
  readonly kind: PickKind
  /** Null: the geometry stands where it was built. */
  readonly object: Object3D | null
  readonly id: string | null
  /** What is picked: facets and places are of this mesh. */
  readonly mesh: Mesh
  /** The geometry was built of this copy of the mesh; null: of the mesh itself, facet by facet. */
  readonly copy?: DisplayCopy | null
  /** How far from its place in the job the part is drawn just now (pulled, or apart), mm. */
  readonly lifted: () => Vec3
}

export interface Picked {
  readonly kind: PickKind
  readonly id: string | null
  readonly facet: number
  /** Job axes, where the part belongs. */
  readonly at: Vec3
  /** Where that place is drawn. */
  readonly shown: Vec3
  readonly meshId: string
}

export interface PickRegister {
  add(pickable: Pickable): () => void
  /** The nearest hit that `keep` allows, or null. Meshes whose tree is not there yet do not answer. */
  pick(moment: EyeMoment, x_px: number, y_px: number, keep: (kind: PickKind, at: Vec3) => boolean): Picked | null
  /** What a measurement takes hold of there: a corner, an edge, a scanned point, else the face. */
  hold(
    moment: EyeMoment,
    x_px: number,
    y_px: number,
    keep: (kind: PickKind, at: Vec3) => boolean,
  ): (Picked & Held) | null
  /** The nearest place of a part to a point of the job, or null where it is not drawn or has no tree yet. */
  nearestOn(kind: PickKind, point: Vec3): Picked | null
  /** True when a part stands between the eye and a place of the job. */
  hides(moment: EyeMoment, at: Vec3, kinds: readonly PickKind[]): boolean
  /** Height of the shell over a place in plan: the top of the topside, the bottom of the underside. Null outside of it. */
  heightOf(kind: 'underside' | 'topside', x: number, y: number): number | null
  dispose(): void
}

/** Up to here a tree is built in the blink of an eye, when it is first asked. */
const AT_ONCE_TO_FACETS = 12_000
/** Above this a tree takes longer than a frame or three; it is built in a worker. */
const IN_WORKER_FROM_FACETS = 80_000

/** Facets that are looked through for something to hold on to. */
const MOST_NEIGHBOURS = 4000
const OWN_SURFACE_MM = 3

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
  const shift = new Vector3()

  const look = (
    { eye, basis, free }: EyeMoment,
    x_px: number,
    y_px: number,
    keep: (kind: PickKind, at: Vec3) => boolean,
  ): { pickable: Pickable; picked: Picked } | null => {
    const sight = sightAt(eye, basis, free, x_px, y_px)
    ray.origin.set(...sight.from)
    ray.direction.set(...sight.along)
    let best: { pickable: Pickable; picked: Picked } | null = null
    let nearest = Infinity
    for (const pickable of all) {
      const { geometry, kind, object, id, mesh, copy, lifted } = pickable
      const tree = treeOf(geometry)
      if (!tree) continue
      const up = lifted()
      shift.set(up[0], up[1], up[2])
      local.copy(ray)
      if (object) local.applyMatrix4(inverse.copy(object.matrixWorld).invert())
      else local.origin.sub(shift)
      for (const hit of tree.raycast(local, DoubleSide)) {
        if (hit.distance >= nearest) continue
        const drawn = hit.faceIndex ?? -1
        const whole = copy && wholeHit(mesh, wholeFacets(copy, [drawn], Infinity), local, hit.point)
        place.copy(whole?.point ?? hit.point)
        if (object) place.applyMatrix4(object.matrixWorld).sub(shift)
        const at: Vec3 = [place.x, place.y, place.z]
        if (!keep(kind, at)) continue
        nearest = hit.distance
        const shown: Vec3 = [at[0] + up[0], at[1] + up[1], at[2] + up[2]]
        best = { pickable, picked: { kind, id, facet: whole?.facet ?? drawn, at, shown, meshId: mesh.id } }
      }
    }
    return best
  }

  return {
    add(pickable) {
      all.add(pickable)
      if (facetsOf(pickable.geometry) > AT_ONCE_TO_FACETS) {
        waiting.push(pickable)
        next()
      }
      return () => all.delete(pickable)
    },
    pick: (moment, x_px, y_px, keep) => look(moment, x_px, y_px, keep)?.picked ?? null,
    hold(moment, x_px, y_px, keep) {
      const hit = look(moment, x_px, y_px, keep)
      if (!hit) return null
      const { picked, pickable } = hit
      const { geometry, mesh, copy, object, kind, lifted } = pickable
      const tree = treeOf(geometry)
      if (!tree) return null
      // A moved fitting stands elsewhere than its mesh: by so much.
      const moved: Vec3 = object ? [object.position.x, object.position.y, object.position.z] : lifted()
      const inMesh: Vec3 = [0, 1, 2].map((k) => picked.shown[k]! - moved[k]!) as unknown as Vec3
      const round_mm = (CORNER_PX * 1.5) / scaleAt(moment.eye, moment.basis, picked.shown)
      const near: number[] = []
      place.set(inMesh[0], inMesh[1], inMesh[2])
      tree.shapecast({
        intersectsBounds: (box) => box.distanceToPoint(place) <= round_mm,
        intersectsTriangle: (_, f) => {
          near.push(f)
          return near.length >= MOST_NEIGHBOURS
        },
      })
      const held = snap({
        mesh,
        scanned: kind === 'frame',
        facets: copy ? wholeFacets(copy, near, MOST_NEIGHBOURS) : near,
        hit: inMesh,
        shift: moved,
        moment,
        x_px,
        y_px,
      })
      const shown = held.at.map((v, k) => v + moved[k]!) as unknown as Vec3
      const up = lifted()
      return { ...picked, hold: held.hold, shown, at: shown.map((v, k) => v - up[k]!) as unknown as Vec3 }
    },
    nearestOn(kind, wanted) {
      let best: Picked | null = null
      let nearest = Infinity
      for (const { geometry, kind: of, object, id, mesh, copy, lifted } of all) {
        const tree = of === kind ? treeOf(geometry) : null
        if (!tree) continue
        const up = lifted()
        const moved: Vec3 = object
          ? [object.position.x - up[0], object.position.y - up[1], object.position.z - up[2]]
          : [0, 0, 0]
        const hit = tree.closestPointToPoint(
          shift.set(wanted[0] - moved[0], wanted[1] - moved[1], wanted[2] - moved[2]),
        )
        if (!hit || hit.distance >= nearest) continue
        nearest = hit.distance
        const whole = copy && wholeNearest(mesh, wholeFacets(copy, [hit.faceIndex], Infinity), shift)
        const point = whole?.point ?? hit.point
        const at: Vec3 = [point.x + moved[0], point.y + moved[1], point.z + moved[2]]
        const shown: Vec3 = [at[0] + up[0], at[1] + up[1], at[2] + up[2]]
        best = { kind: of, id, facet: whole?.facet ?? hit.faceIndex, at, shown, meshId: mesh.id }
      }
      return best
    },
    hides({ eye, basis }, at, kinds) {
      const far = eye.central ? place.set(...eye.target).distanceTo(shift.set(...at)) : Infinity
      const towards: Vec3 = eye.central
        ? (eye.target.map((v, k) => (v - at[k]!) / far) as unknown as Vec3)
        : [basis.back[0], basis.back[1], basis.back[2]]
      for (const { geometry, kind, object, lifted } of all) {
        const tree = kinds.includes(kind) && !object ? treeOf(geometry) : null
        if (!tree) continue
        const up = lifted()
        local.direction.set(...towards)
        // A hand's breadth of a place's own surface is no hiding.
        local.origin.set(at[0] - up[0], at[1] - up[1], at[2] - up[2]).addScaledVector(local.direction, OWN_SURFACE_MM)
        const hit = tree.raycastFirst(local, DoubleSide)
        if (hit && hit.distance < far) return true
      }
      return false
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
