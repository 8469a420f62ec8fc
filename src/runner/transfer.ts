/**
 * Large meshes cross the wall once. After that a request names them by id, and the worker puts its own copy in.
 */
import type { Mesh } from '../core/geometry/mesh'

interface MeshName {
  readonly $mesh: string
}

const isMesh = (value: object): value is Mesh =>
  'id' in value && 'indices' in value && value.indices instanceof Uint32Array && 'positions' in value

const isPlain = (value: object): boolean =>
  Array.isArray(value) || Object.getPrototypeOf(value) === Object.prototype || Object.getPrototypeOf(value) === null

/** Calls `change` on each mesh or mesh name in a tree of plain objects; shares what did not change. */
function mapMeshes(value: unknown, change: (mesh: Mesh | MeshName) => unknown): unknown {
  if (typeof value !== 'object' || value === null || !isPlain(value)) return value
  if (isMesh(value) || '$mesh' in value) return change(value as Mesh | MeshName)
  if (Array.isArray(value)) return value.map((v) => mapMeshes(v, change))
  return Object.fromEntries(Object.entries(value).map(([k, v]) => [k, mapMeshes(v, change)]))
}

/** Whether threads may look at the same memory: the page must be isolated (headers, see DEVELOPERS.md), Node always may. */
const canShare = (): boolean =>
  typeof SharedArrayBuffer !== 'undefined' &&
  ((globalThis as { crossOriginIsolated?: boolean }).crossOriginIsolated ?? true)

const inShared = <T extends Float32Array | Uint32Array>(array: T): T => {
  if (array.buffer instanceof SharedArrayBuffer) return array
  const copy = new (array.constructor as new (buffer: SharedArrayBuffer) => T)(new SharedArrayBuffer(array.byteLength))
  copy.set(array)
  return copy
}

/**
 * Lays the meshes of a result where every thread can read them, so that a large scan is there once and not once per worker.
 * Nobody writes into a mesh after it was made. The mesh stays the same object, so that caches which hang on it (search trees)
 * are found again. Without isolation nothing changes and meshes are copied; results are the same.
 */
export function shareMeshes(value: unknown): void {
  if (!canShare()) return
  mapMeshes(value, (m) => {
    if ('id' in m) Object.assign(m, { positions: inShared(m.positions), indices: inShared(m.indices) })
    return m
  })
}

/** The page's side of one worker: what it has been sent. */
export class SentMeshes {
  private readonly bytesOf = new Map<string, number>()
  private readonly budget_bytes: number

  /** @param budget_bytes beyond this the worker is told to forget the meshes used longest ago */
  constructor(budget_bytes: number) {
    this.budget_bytes = budget_bytes
  }

  /** Replaces meshes that the worker has by their names, and notes the new ones. */
  pack(request: unknown): { packed: unknown; forget: readonly string[] } {
    const used = new Set<string>()
    const packed = mapMeshes(request, (m) => {
      if (!('id' in m)) return m
      used.add(m.id)
      return this.has(m) ? { $mesh: m.id } : m
    })
    return { packed, forget: this.trim(used) }
  }

  /** Notes meshes that came back in a result: the worker keeps those too. */
  note(result: unknown): void {
    mapMeshes(result, (m) => {
      if ('id' in m) this.has(m)
      return m
    })
  }

  /** True if the worker has it; moves or puts it to the fresh end of the list. */
  private has(mesh: Mesh): boolean {
    const known = this.bytesOf.delete(mesh.id)
    this.bytesOf.set(mesh.id, mesh.positions.byteLength + mesh.indices.byteLength)
    return known
  }

  private trim(used: ReadonlySet<string>): string[] {
    let total = 0
    for (const size of this.bytesOf.values()) total += size
    const forget: string[] = []
    for (const [id, size] of this.bytesOf) {
      if (total <= this.budget_bytes) break
      if (used.has(id)) continue
      this.bytesOf.delete(id)
      forget.push(id)
      total -= size
    }
    return forget
  }
}

/** The worker's side. */
export class KeptMeshes {
  private readonly meshes = new Map<string, Mesh>()

  keep(value: unknown): void {
    mapMeshes(value, (m) => {
      if ('id' in m) this.meshes.set(m.id, m)
      return m
    })
  }

  /** @throws a defect if a name is not known: the two sides have come apart */
  unpack(packed: unknown): unknown {
    return mapMeshes(packed, (m) => {
      if ('id' in m) {
        // The same object each time, so that caches that hang on a mesh (search trees) are found again.
        const known = this.meshes.get(m.id)
        if (known) return known
        this.meshes.set(m.id, m)
        return m
      }
      const known = this.meshes.get(m.$mesh)
      if (!known) throw new Error(`runner: mesh ${m.$mesh} is not kept here`)
      return known
    })
  }

  forget(ids: readonly string[]): void {
    for (const id of ids) this.meshes.delete(id)
  }
}
