/** Rooms that must stay free, translucent, red where something reaches in; and the base of the fitting that is chosen. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import type { FittingResult, RoomCheck } from '../../core/fitting/types'
import type { Mesh } from '../../core/geometry/mesh'
import type { Stores } from '../../state/stores'
import { useBuilt, vertexGeometry } from '../geometry/build'
import type { Theme } from '../theme'
import { useRedraw } from './canvas-hooks'
import { FatLine, runSegments } from './fat-line'

/** What only touches is no intruder, mm: the same as the check's own allowance. */
const TOUCH_MM = 0.5

export function RoomLayer({ stores, fitting, theme }: { stores: Stores; fitting: FittingResult; theme: Theme }) {
  const chosen = useStore(stores.session, (s) => s.fitting)
  const base = useMemo(() => {
    const lines = fitting.placed.flatMap((p, i) => (p.id === chosen ? (fitting.bodies[i]?.borders ?? []) : []))
    return Float32Array.from(
      lines.flatMap((line) => {
        const closed = [...line, line[0]!]
        return [...runSegments(closed.map((q): [number, number, number] => [q[0], q[1], q[2]]))]
      }),
    )
  }, [fitting, chosen])
  useRedraw(base)
  return (
    <>
      {fitting.rooms.map((room) => (
        <Room key={`${room.fitting}${room.twin} ${room.mesh.id}`} room={room} theme={theme} />
      ))}
      {base.length > 0 && <FatLine segments={base} colour={theme.blue} px={2.6} order={5} hidden={false} />}
    </>
  )
}

const built = (mesh: Mesh) => vertexGeometry(mesh)

function Room({ room, theme }: { room: RoomCheck; theme: Theme }) {
  const geometry = useBuilt(room.mesh, built)
  const taken = (room.against[0]?.depth_mm ?? 0) > TOUCH_MM
  useRedraw(geometry)
  useRedraw(taken)
  if (!geometry) return null
  return (
    <mesh geometry={geometry} renderOrder={3}>
      <meshBasicMaterial color={taken ? theme.lead : theme.blue} transparent opacity={0.22} depthWrite={false} />
    </mesh>
  )
}
