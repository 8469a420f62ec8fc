/** Puts the canvas's camera where the eye is, draws as long as a flight goes on, and lets what lies over the picture follow. */
import { useFrame, useThree } from '@react-three/fiber'
import { useEffect, useMemo } from 'react'
import { Matrix4, OrthographicCamera, PerspectiveCamera, Vector3 } from 'three'
import { NEAREST_MM } from './eye'
import type { EyeMoment, EyeRig } from './eye-rig'

/** Far enough that nothing of a job is behind the eye. */
const DISTANCE_MM = 20_000
/** A picture that takes longer than this while moving is drawn more coarsely. */
const SLOW_MS = 20

const right = new Vector3()
const up = new Vector3()
const back = new Vector3()
const turn = new Matrix4()

export function Look({ rig, onTurn }: { rig: EyeRig; onTurn: () => void }) {
  const invalidate = useThree((s) => s.invalidate)
  const set = useThree((s) => s.set)
  const get = useThree((s) => s.get)
  const cameras = useMemo(() => {
    const central = new PerspectiveCamera()
    // Placed and shaped by the rig alone.
    Object.assign(central, { manual: true })
    return { central, parallel: null as OrthographicCamera | null }
  }, [])
  useEffect(() => rig.onWant(() => invalidate()), [rig, invalidate])
  useFrame(() => {
    const more = rig.step(performance.now())
    const moment = rig.now()
    const { camera } = get()
    if (camera instanceof OrthographicCamera) cameras.parallel = camera
    const wanted = moment.eye.central ? cameras.central : cameras.parallel
    if (!wanted) return
    if (camera !== wanted) {
      wanted.layers.mask = camera.layers.mask
      set({ camera: wanted })
      // This picture is still taken with the one before.
      invalidate()
    }
    stand(wanted, moment)
    wanted.updateMatrixWorld()
    onTurn()
    rig.picture()
    if (more) invalidate()
  }, -1)
  return null
}

function stand(camera: OrthographicCamera | PerspectiveCamera, { eye, basis, free, width, height }: EyeMoment): void {
  right.set(...basis.right)
  up.set(...basis.up)
  back.set(...basis.back)
  camera.quaternion.setFromRotationMatrix(turn.makeBasis(right, up, back))
  camera.position.set(...eye.target)
  const cx = free.left + free.width / 2
  const cy = free.top + free.height / 2
  if (camera instanceof PerspectiveCamera) {
    // The middle of the free box is straight ahead, not that of the canvas.
    const k = NEAREST_MM / (eye.pxPerMm * 1000)
    camera.near = NEAREST_MM
    camera.far = 4 * DISTANCE_MM
    const { near, far } = camera
    camera.projectionMatrix.makePerspective(-cx * k, (width - cx) * k, cy * k, -(height - cy) * k, near, far)
    camera.projectionMatrixInverse.copy(camera.projectionMatrix).invert()
    return
  }
  camera.position.addScaledVector(back, DISTANCE_MM)
  camera.left = -cx / eye.pxPerMm
  camera.right = (width - cx) / eye.pxPerMm
  camera.top = cy / eye.pxPerMm
  camera.bottom = -(height - cy) / eye.pxPerMm
  camera.near = 1
  camera.far = 2 * DISTANCE_MM
  camera.zoom = 1
  camera.updateProjectionMatrix()
}

/** Outlines and thin lines stand here; they are left out of moving pictures where pictures are slow. */
export const FINE_LAYER = 1

/**
 * The whole picture at rest. While moving, where pictures take too long: first one pixel per pixel, then without outlines
 * and thin lines, at last at half the sharpness. What was found to be needed is kept for the next move.
 */
export function Sharpness({ rig, most }: { rig: EyeRig; most: number }) {
  const setDpr = useThree((s) => s.setDpr)
  const camera = useThree((s) => s.camera)
  const gl = useThree((s) => s.gl)
  useEffect(() => {
    gl.setPixelRatio(most)
    camera.layers.enable(FINE_LAYER)
    // From the wish for a picture to its turn: where the one before is still being drawn, that is long.
    let asked = 0
    let level = 0
    let shown = 0
    const show = (next: number) => {
      if (next === shown) return
      shown = next
      setDpr([most, Math.min(most, 1), Math.min(most, 1), 0.5][next]!)
      if (next >= 2) camera.layers.disable(FINE_LAYER)
      else camera.layers.enable(FINE_LAYER)
    }
    const stopAsking = rig.onWant(() => {
      asked ||= performance.now()
    })
    const stop = rig.onPicture(() => {
      const waited = asked === 0 ? 0 : performance.now() - asked
      asked = 0
      if (rig.moving && waited > SLOW_MS * 1.8 && level < 3) level++
      show(rig.moving ? level : 0)
    })
    return () => {
      stop()
      stopAsking()
    }
  }, [rig, setDpr, camera, gl, most])
  return null
}
