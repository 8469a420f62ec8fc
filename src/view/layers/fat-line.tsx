/** Lines of a width in screen pixels, as separate segments; dashes in millimetres. */
import { useThree } from '@react-three/fiber'
import { useEffect, useMemo } from 'react'
import type { Plane } from 'three'
import { LineMaterial } from 'three/examples/jsm/lines/LineMaterial.js'
import { LineSegments2 } from 'three/examples/jsm/lines/LineSegments2.js'
import { LineSegmentsGeometry } from 'three/examples/jsm/lines/LineSegmentsGeometry.js'
import { FINE_LAYER } from '../camera/look'

export interface FatLineProps {
  /** Six numbers per segment, job axes. */
  readonly segments: Float32Array
  readonly colour: string
  readonly px: number
  readonly opacity?: number
  /** On and off, mm. Segments that follow each other share one run of dashes. */
  readonly dash?: readonly [number, number]
  readonly planes?: readonly Plane[]
  readonly order?: number
  /** False: drawn over everything. */
  readonly hidden?: boolean
  /** True: left out of moving pictures where pictures are slow. */
  readonly fine?: boolean
}

export function FatLine({
  segments,
  colour,
  px,
  opacity = 1,
  dash,
  planes,
  order = 0,
  hidden = true,
  fine = false,
}: FatLineProps) {
  const invalidate = useThree((s) => s.invalidate)
  const line = useMemo(() => {
    const geometry = new LineSegmentsGeometry()
    geometry.setPositions(segments)
    return new LineSegments2(geometry, new LineMaterial({ worldUnits: false }))
  }, [segments])
  const on = dash?.[0] ?? 0
  const off = dash?.[1] ?? 0
  useEffect(() => {
    const { material } = line
    material.color.set(colour)
    material.linewidth = px
    material.opacity = opacity
    material.transparent = opacity < 1
    material.depthTest = hidden
    material.depthWrite = false
    // Lines lie on faces: they are drawn a hair in front of them.
    material.polygonOffset = true
    material.polygonOffsetFactor = -1
    material.polygonOffsetUnits = -2
    material.clippingPlanes = planes ? [...planes] : null
    material.dashed = on > 0
    if (on > 0) {
      material.dashSize = on
      material.gapSize = off
      runningDistances(line)
    }
    material.needsUpdate = true
    line.renderOrder = order
    line.layers.set(fine ? FINE_LAYER : 0)
    invalidate()
  }, [line, colour, px, opacity, on, off, planes, order, hidden, fine, invalidate])
  useEffect(
    () => () => {
      line.geometry.dispose()
      line.material.dispose()
    },
    [line],
  )
  if (segments.length === 0) return null
  return <primitive object={line} />
}

/** Distances along the whole run, where each segment begins at the end of the one before; three starts each at 0. */
function runningDistances(line: LineSegments2): void {
  line.computeLineDistances()
  const from = line.geometry.getAttribute('instanceStart')
  const to = line.geometry.getAttribute('instanceEnd')
  const start = line.geometry.getAttribute('instanceDistanceStart')
  const end = line.geometry.getAttribute('instanceDistanceEnd')
  for (let i = 1; i < start.count; i++) {
    const joined = from.getX(i) === to.getX(i - 1) && from.getY(i) === to.getY(i - 1) && from.getZ(i) === to.getZ(i - 1)
    const length = end.getX(i) - start.getX(i)
    const begin = joined ? end.getX(i - 1) : 0
    start.setX(i, begin)
    end.setX(i, begin + length)
  }
}

/** Segments of an open or closed run of points (three numbers each). */
export function runSegments(points: readonly (readonly [number, number, number])[], closed = false): Float32Array {
  const count = closed ? points.length : points.length - 1
  const out = new Float32Array(Math.max(count, 0) * 6)
  for (let i = 0; i < count; i++) {
    out.set(points[i]!, i * 6)
    out.set(points[(i + 1) % points.length]!, i * 6 + 3)
  }
  return out
}
