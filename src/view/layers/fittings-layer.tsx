/** Fittings where the step placed them; while one is dragged or nudged it follows at once, and its twin exactly mirrored. */
import { useFrame } from '@react-three/fiber'
import { useCallback, useEffect, useMemo, useState } from 'react'
import { BackSide, BufferAttribute, Group } from 'three'
import { useStore } from 'zustand'
import type { PlacedFitting } from '../../core/fitting/types'
import type { Mesh } from '../../core/geometry/mesh'
import type { Stores } from '../../state/stores'
import { raise_mm } from '../apart'
import type { Vec3 } from '../camera/eye'
import { FINE_LAYER } from '../camera/look'
import { cornerGeometry, useBuilt, vertexGeometry } from '../geometry/build'
import { mappedMaterial, outlineMaterial } from '../maps/mapped-material'
import type { PickRegister } from '../picking/pick'
import type { SheetStore } from '../sheet-store'
import { INK_ON_PART, SLATE, type Theme } from '../theme'
import { useRedraw, useScreenWidths } from './canvas-hooks'
import { FatLine } from './fat-line'
import { sharpEdges } from './map-attributes'
import { usePickable } from './use-pickable'

export interface FittingsLayerProps {
  readonly stores: Stores
  readonly placed: readonly PlacedFitting[]
  readonly theme: Theme
  readonly picks: PickRegister
  /** Height of the shell a fitting stands on, or null outside of it. */
  readonly sheet: SheetStore
  readonly heightAt: (on: PlacedFitting['on'], x: number, y: number) => number | null
}

export function FittingsLayer({ stores, placed, theme, picks, sheet, heightAt }: FittingsLayerProps) {
  return placed.map((fitting) => (
    <FittingPart
      key={`${fitting.id}${fitting.twin ? '+' : ''}`}
      stores={stores}
      fitting={fitting}
      theme={theme}
      picks={picks}
      sheet={sheet}
      heightAt={heightAt}
    />
  ))
}

const bodyGeometry = (mesh: Mesh) => {
  const geometry = cornerGeometry(mesh)
  const corners = geometry.getAttribute('position').count
  geometry.setAttribute('aValue', new BufferAttribute(new Float32Array(corners), 1))
  geometry.setAttribute('aClass', new BufferAttribute(new Uint8Array(corners), 1))
  return geometry
}
const hullGeometry = (mesh: Mesh) => vertexGeometry(mesh)

interface FittingPartProps extends Omit<FittingsLayerProps, 'placed'> {
  readonly fitting: PlacedFitting
}

function FittingPart({ stores, fitting, theme, picks, sheet, heightAt }: FittingPartProps) {
  const geometry = useBuilt(fitting.mesh, bodyGeometry)
  const hull = useBuilt(fitting.mesh, hullGeometry)
  const body = useMemo(() => mappedMaterial('part'), [])
  const ink = useMemo(() => outlineMaterial(BackSide), [])
  useEffect(() => () => body.dispose(), [body])
  useEffect(() => () => ink.dispose(), [ink])
  const chosen = useStore(stores.session, (s) => s.fitting === fitting.id)
  const edges = useMemo(() => sharpEdges(fitting.mesh), [fitting.mesh])
  // The object is made here, not by the renderer, because picking must know where it stands.
  const [group] = useState(() => new Group())
  useMemo(() => {
    body.setColour(SLATE, SLATE)
    ink.setColour(chosen ? theme.blue : theme.ink)
  }, [body, ink, chosen, theme])
  const outlines = useMemo(() => [{ outline: ink, px: chosen ? 3 : 1.25 }], [ink, chosen])
  const mapped = useMemo(() => [body], [body])
  useScreenWidths(mapped, outlines)
  const { on } = fitting
  const lifted = useCallback((): Vec3 => [0, 0, sheet.getState().spread * raise_mm(on)], [sheet, on])
  useFrame(() => {
    const [dx, dy, up] = ahead(stores, fitting, heightAt)
    const dz = up + lifted()[2]
    if (group.position.x === dx && group.position.y === dy && group.position.z === dz) return
    group.position.set(dx, dy, dz)
    group.updateMatrixWorld()
  })
  useRedraw(geometry)
  useRedraw(chosen)
  useRedraw(theme)
  usePickable(picks, geometry, { kind: 'fitting', mesh: fitting.mesh, object: group, id: fitting.id, lifted })
  if (!geometry || !hull) return null
  return (
    <primitive object={group}>
      <mesh geometry={geometry} material={body.material} castShadow receiveShadow />
      <mesh geometry={hull} material={ink.material} layers={FINE_LAYER} />
      <FatLine segments={edges} colour={INK_ON_PART} px={0.9} opacity={0.75} order={1} fine />
    </primitive>
  )
}

/** How far the job has moved the fitting since the result was made, mm. Nothing once the result is of the job as it is. */
function ahead(
  { jobs, results }: Stores,
  fitting: PlacedFitting,
  heightAt: FittingsLayerProps['heightAt'],
): readonly [number, number, number] {
  if (results.getState().steps.fitting.is === 'done') return STILL
  const entry = jobs.getState().history.job.fittings.find((f) => f.id === fitting.id)
  if (!entry) return STILL
  const { at } = fitting.seat
  const side = fitting.twin ? -1 : 1
  const dx = entry.at_mm[0] - at[0]
  const dy = entry.at_mm[1] * side - at[1]
  if (dx === 0 && dy === 0) return STILL
  const before = heightAt(fitting.on, at[0], at[1])
  const after = heightAt(fitting.on, at[0] + dx, at[1] + dy)
  return [dx, dy, before === null || after === null ? 0 : after - before]
}

const STILL = [0, 0, 0] as const
