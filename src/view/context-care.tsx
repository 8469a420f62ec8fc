/** The graphics card may drop the drawing (driver restart, sleep, too many tabs): it is said, and drawn anew when it is back. */
import { useThree } from '@react-three/fiber'
import { useEffect } from 'react'
import type { Stores } from '../state/stores'
import { sheetWords } from './words'

export function ContextCare({ stores }: { stores: Stores }) {
  const gl = useThree((s) => s.gl)
  const invalidate = useThree((s) => s.invalidate)
  useEffect(() => {
    const canvas = gl.domElement
    const lost = (event: Event) => {
      // Without this the browser never gives it back.
      event.preventDefault()
      stores.session.setState({ notice: { kind: 'refused', text: sheetWords.drawingLost } })
    }
    const back = () => {
      gl.shadowMap.needsUpdate = true
      invalidate()
      stores.session.setState((s) => (s.notice?.text === sheetWords.drawingLost ? { notice: null } : {}))
    }
    canvas.addEventListener('webglcontextlost', lost)
    canvas.addEventListener('webglcontextrestored', back)
    return () => {
      canvas.removeEventListener('webglcontextlost', lost)
      canvas.removeEventListener('webglcontextrestored', back)
    }
  }, [gl, invalidate, stores])
  return null
}
