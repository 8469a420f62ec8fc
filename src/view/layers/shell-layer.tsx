/** One shell: its moulded face seen from outside, with map, station lines, outline, cut away by a section where asked. */
import { useFrame } from '@react-three/fiber'
import { useCallback, useEffect, useMemo, useRef } from 'react'
import { BackSide, BufferAttribute, type Group } from 'three'
import type { Shell } from '../../core/clearance/types'
import type { Mesh } from '../../core/geometry/mesh'
import { raise_mm } from '../apart'
import type { Vec3 } from '../camera/eye'
import { FINE_LAYER } from '../camera/look'
import { cornerGeometry, useBuilt, vertexGeometry } from '../geometry/build'
import { mappedMaterial, outlineMaterial } from '../maps/mapped-material'
import type { SheetMap } from '../maps/sheet-map'
import type { PickRegister } from '../picking/pick'
import type { Cut } from '../section/cut-side'
import type { PartName, SheetStore } from '../sheet-store'
import { INK_ON_PART, type Theme } from '../theme'
import { useRedraw, useScreenWidths } from './canvas-hooks'
import { FatLine } from './fat-line'
import { classEdges, cornerAttributes, freeEdges, zoneEdges } from './map-attributes'
import { SectionCap } from './section-cap'
import { usePickable } from './use-pickable'

export interface ShellLayerProps {
  readonly part: PartName
  readonly shell: Shell
  readonly map: SheetMap | null
  readonly cut: Cut | null
  readonly theme: Theme
  readonly picks: PickRegister
  readonly sheet: SheetStore
  /** How far it is held off its seat, job axes, mm; null: not. */
  readonly held: readonly [number, number, number] | null
  /** One looks through it. */
  readonly through: boolean
}

/** What is left of a shell that one looks through. */
const THROUGH_OPACITY = 0.26

/** How far the part travels when it is pulled, mm. */
const PULL_TRAVEL_MM = 420
const SEATED = [0, 0, 0] as const
const STATIONS_MM = 250
/** Lines in front of a cut that was taken away: on and off, mm. */
const TAKEN_DASH = [46, 14] as const

const facingUp = (mesh: Mesh) => plain(cornerGeometry(mesh))
const facingDown = (mesh: Mesh) => plain(cornerGeometry(mesh, true))
const hullUp = (mesh: Mesh) => vertexGeometry(mesh)
const hullDown = (mesh: Mesh) => vertexGeometry(mesh, true)

function plain(geometry: ReturnType<typeof cornerGeometry>) {
  const corners = geometry.getAttribute('position').count
  geometry.setAttribute('aValue', new BufferAttribute(new Float32Array(corners), 1))
  geometry.setAttribute('aClass', new BufferAttribute(new Uint8Array(corners), 1))
  return geometry
}

export function ShellLayer({ part, shell, map, cut, theme, picks, sheet, held, through }: ShellLayerProps) {
  const { face, zone, pull } = shell
  // The sheet looks at shells from above: a face that looks down is drawn by its other side.
  const turned = pull[2] < 0
  const geometry = useBuilt(face, turned ? facingDown : facingUp)
  const hull = useBuilt(face, turned ? hullDown : hullUp)
  const skin = useMemo(() => mappedMaterial('gelcoat'), [])
  const ink = useMemo(() => outlineMaterial(BackSide), [])
  useEffect(() => () => skin.dispose(), [skin])
  useEffect(() => () => ink.dispose(), [ink])
  const group = useRef<Group>(null)
  const mine = map?.mesh.id === face.id ? map : null

  useMemo(() => {
    if (!geometry || !mine) return
    const { values, classes } = cornerAttributes(mine, turned)
    geometry.setAttribute('aValue', new BufferAttribute(values, 1))
    geometry.setAttribute('aClass', new BufferAttribute(classes, 1))
  }, [geometry, mine, turned])
  useMemo(() => {
    skin.setMap(mine?.scale ?? null, mine?.colours ?? false)
    skin.setColour(theme.gelcoat, theme.gelcoat)
    skin.setStations(part === 'topside' ? STATIONS_MM : 0)
    ink.setColour(theme.ink)
  }, [skin, ink, mine, theme, part])
  useEffect(() => {
    const planes = cut ? [cut.kept] : null
    skin.material.clippingPlanes = planes
    ink.material.clippingPlanes = planes
  }, [skin, ink, cut])

  useEffect(() => {
    const { material } = skin
    material.transparent = through
    material.opacity = through ? THROUGH_OPACITY : 1
    material.depthWrite = !through
    material.needsUpdate = true
    ink.material.visible = !through
  }, [skin, ink, through])

  const edges = useMemo(() => (mine ? classEdges(mine) : null), [mine])
  const free = useMemo(() => freeEdges(face), [face])
  const zones = useMemo(() => zoneEdges(face, zone), [face, zone])
  const kept = useMemo(() => (cut ? [cut.kept] : []), [cut])
  const taken = useMemo(() => (cut ? [cut.taken] : []), [cut])
  const outlines = useMemo(() => [{ outline: ink, px: 1.25 }], [ink])
  const mapped = useMemo(() => [skin], [skin])
  useScreenWidths(mapped, outlines)
  // What is drawn is the part; the mould stands still, the part leaves along the pull.
  const lifted = useCallback((): Vec3 => {
    const { pulled, spread } = sheet.getState()
    const travel = pulled * PULL_TRAVEL_MM
    const [x, y, z] = held ?? SEATED
    return [pull[0] * travel + x, pull[1] * travel + y, pull[2] * travel + z + spread * raise_mm(part)]
  }, [sheet, pull, part, held])
  useFrame(() => {
    skin.setShown(mine?.name === 'filling' ? sheet.getState().filledTo_min : null)
    group.current?.position.set(...lifted())
  })
  useRedraw(geometry)
  useRedraw(held)
  useRedraw(mine)
  useRedraw(cut)
  useRedraw(theme)
  useRedraw(through)
  usePickable(picks, geometry, { kind: part, mesh: face, lifted })
  if (!geometry || !hull) return null
  return (
    <group ref={group}>
      <mesh
        geometry={geometry}
        material={skin.material}
        castShadow={!through}
        receiveShadow
        renderOrder={through ? 4 : 0}
      />
      <mesh geometry={hull} material={ink.material} layers={FINE_LAYER} />
      <FatLine segments={free} colour={theme.ink} px={1.5} planes={kept} order={1} fine />
      <FatLine segments={zones} colour={INK_ON_PART} px={0.8} opacity={0.3} planes={kept} order={1} fine />
      {edges && <FatLine segments={edges.fails} colour={theme.lead} px={1.8} planes={kept} order={2} fine />}
      {edges && (
        <FatLine segments={edges.unseen} colour={theme.blue} px={1.6} dash={[16, 9]} planes={kept} order={2} fine />
      )}
      {cut && <SectionCap solid={shell.solid} section={cut.section} colour={theme.ink} />}
      {cut && <TakenAway face={face} planes={taken} colour={theme.ink2} />}
    </group>
  )
}

function TakenAway({ face, planes, colour }: { face: Mesh; planes: Cut['kept'][]; colour: string }) {
  const trim = useMemo(() => orderedRim(freeEdges(face)), [face])
  return <FatLine segments={trim} colour={colour} px={1.2} dash={TAKEN_DASH} planes={planes} order={2} />
}

/** Segments put end to end, so that dashes run on from one to the next. */
export function orderedRim(segments: Float32Array): Float32Array {
  const count = segments.length / 6
  const name = (i: number) => `${segments[i]},${segments[i + 1]},${segments[i + 2]}`
  const at = new Map<string, number[]>()
  for (let s = 0; s < count; s++)
    for (const end of [0, 3]) {
      const key = name(s * 6 + end)
      const list = at.get(key)
      if (list) list.push(s)
      else at.set(key, [s])
    }
  const used = new Uint8Array(count)
  const out = new Float32Array(segments.length)
  let filled = 0
  for (let first = 0; first < count; first++) {
    let s: number | undefined = used[first] ? undefined : first
    let tail = name(first * 6)
    while (s !== undefined) {
      used[s] = 1
      const forwards: boolean = name(s * 6) === tail
      const a: number = s * 6 + (forwards ? 0 : 3)
      const b: number = s * 6 + (forwards ? 3 : 0)
      out.set(segments.subarray(a, a + 3), filled)
      out.set(segments.subarray(b, b + 3), filled + 3)
      filled += 6
      tail = name(b)
      s = at.get(tail)?.find((t) => !used[t])
    }
  }
  return out
}
