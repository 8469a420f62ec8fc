/**
 * A standing figure for scale: a flat outline that turns with the eye. It stands at the helm, as tall as the one who steers;
 * where no helm is stated beside the frame on its floor, 1750 mm tall, about the mean stature of grown people (common
 * practice, no source). The figure says its height, so that nobody takes it for a measure.
 */
import { useFrame } from '@react-three/fiber'
import { useEffect, useMemo, useRef } from 'react'
import { BackSide, DoubleSide, type Group, Shape, ShapeGeometry } from 'three'
import type { Vec3 } from '../camera/eye'
import type { Theme } from '../theme'
import { useRedraw } from './canvas-hooks'
import type { Floor } from './floor-layer'

export const FIGURE_MM = 1750

export interface FigureStand {
  /** Between the feet, job axes. */
  readonly at: Vec3
  readonly height_mm: number
}

/** At the starboard aft corner of the floor, outside of the feet. */
export const figurePlace = ({ min, z }: Floor): Vec3 => [min[0] + 160, min[1] + 200, z]

/** Enough of it to keep it in sight: as many places along its height as weigh in a fit among thousands. */
export function figurePoints({ at: [x, y, z], height_mm }: FigureStand): Vec3[] {
  return Array.from({ length: 300 }, (_, i) => [
    x + (i % 3) * 270 - 270,
    y + (i % 2) * 540 - 270,
    z + (height_mm * i) / 299,
  ])
}

/** Right half of the outline from crown to sole, shares of the height: across, up. */
const HALF: readonly (readonly [number, number])[] = [
  [0, 1],
  [0.032, 0.992],
  [0.05, 0.962],
  [0.05, 0.92],
  [0.036, 0.885],
  [0.032, 0.862],
  [0.058, 0.842],
  [0.112, 0.822],
  [0.134, 0.785],
  [0.14, 0.7],
  [0.146, 0.6],
  [0.15, 0.49],
  [0.146, 0.462],
  [0.126, 0.462],
  [0.118, 0.5],
  [0.112, 0.6],
  [0.104, 0.68],
  [0.096, 0.6],
  [0.1, 0.52],
  [0.098, 0.4],
  [0.084, 0.25],
  [0.07, 0.06],
  [0.086, 0.012],
  [0.086, 0],
  [0.026, 0],
  [0.024, 0.06],
  [0.02, 0.26],
  [0.006, 0.44],
  [0, 0.45],
]

function outline(): ShapeGeometry {
  const shape = new Shape()
  const right = HALF.map(([x, y]) => [x * FIGURE_MM, y * FIGURE_MM] as const)
  const left = [...right].reverse().map(([x, y]) => [-x, y] as const)
  const [first, ...more] = [...right, ...left]
  shape.moveTo(first![0], first![1])
  for (const [x, y] of more) shape.lineTo(x, y)
  return new ShapeGeometry(shape)
}

export function FigureLayer({ stand, theme }: { stand: FigureStand; theme: Theme }) {
  const geometry = useMemo(outline, [])
  useEffect(() => () => geometry.dispose(), [geometry])
  const group = useRef<Group>(null)
  const { at, height_mm } = stand
  useFrame(({ camera }) => {
    const node = group.current
    if (!node) return
    // Upright, and facing the eye round the plumb line.
    const { elements } = camera.matrixWorld
    node.rotation.set(0, 0, Math.atan2(elements[1]!, elements[0]!))
  })
  useRedraw(theme)
  useRedraw(stand)
  return (
    <group ref={group} position={[at[0], at[1], at[2]]}>
      <mesh geometry={geometry} rotation={[Math.PI / 2, 0, 0]} scale={height_mm / FIGURE_MM}>
        <meshBasicMaterial color={theme.ink2} side={DoubleSide} transparent opacity={0.55} />
      </mesh>
      <mesh position={[0, 0, 1]} rotation={[0, 0, 0]}>
        <circleGeometry args={[170, 40]} />
        <meshBasicMaterial color={theme.ink2} side={BackSide} transparent opacity={0.2} />
      </mesh>
    </group>
  )
}
