/** Puts the canvas's camera where the eye is, draws as long as a flight goes on, and lets what lies over the picture follow. */
import { useFrame, useThree } from '@react-three/fiber'
import { useEffect } from 'react'
import { Matrix4, OrthographicCamera, Vector3 } from 'three'
import type { EyeRig } from './eye-rig'

/** Far enough that nothing of a job is behind the eye. */
const DISTANCE_MM = 20_000
/** A picture that takes longer than this while moving is drawn with one pixel per pixel. */
const SLOW_MS = 20

const right = new Vector3()
const up = new Vector3()
const back = new Vector3()
const turn = new Matrix4()

export function Look({ rig, onTurn }: { rig: EyeRig; onTurn: () => void }) {
  const invalidate = useThree((s) => s.invalidate)
  useEffect(() => rig.onWant(() => invalidate()), [rig, invalidate])
  useFrame(({ camera }, _) => {
    const more = rig.step(performance.now())
    const { eye, basis, free, width, height } = rig.now()
    if (!(camera instanceof OrthographicCamera)) return
    right.set(...basis.right)
    up.set(...basis.up)
    back.set(...basis.back)
    camera.quaternion.setFromRotationMatrix(turn.makeBasis(right, up, back))
    camera.position.set(...eye.target).addScaledVector(back, DISTANCE_MM)
    const cx = free.left + free.width / 2
    const cy = free.top + free.height / 2
    camera.left = -cx / eye.pxPerMm
    camera.right = (width - cx) / eye.pxPerMm
    camera.top = cy / eye.pxPerMm
    camera.bottom = -(height - cy) / eye.pxPerMm
    camera.near = 1
    camera.far = 2 * DISTANCE_MM
    camera.zoom = 1
    camera.updateProjectionMatrix()
    camera.updateMatrixWorld()
    onTurn()
    rig.picture()
    if (more) invalidate()
  }, -1)
  return null
}

/** Full pixel ratio at rest; one while moving, where pictures are slow. */
export function Sharpness({ rig, most }: { rig: EyeRig; most: number }) {
  const gl = useThree((s) => s.gl)
  const setDpr = useThree((s) => s.setDpr)
  useEffect(() => {
    let last = 0
    let slow = false
    let coarse = false
    let rest: ReturnType<typeof setTimeout> | undefined
    let before = rig.now().eye
    const stop = rig.onPicture(({ eye }) => {
      const now = performance.now()
      const moving = eye !== before
      before = eye
      if (moving && now - last < 400) slow = slow || now - last > SLOW_MS * 1.6
      last = now
      if (!moving) return
      if (slow && !coarse && most > 1) {
        coarse = true
        setDpr(1)
      }
      clearTimeout(rest)
      rest = setTimeout(() => {
        coarse = false
        setDpr(most)
      }, 220)
    })
    return () => {
      stop()
      clearTimeout(rest)
    }
  }, [rig, setDpr, most])
  useEffect(() => {
    gl.setPixelRatio(most)
  }, [gl, most])
  return null
}
