/** The pull: an ink arrow from the middle of the part in the direction in which it leaves its mould. */
import { useMemo } from 'react'
import { Quaternion, Vector3 } from 'three'
import type { Shell } from '../../core/clearance/types'
import { bounds } from '../../core/geometry/mesh'
import type { Vec3 } from '../camera/eye'
import { INK_ON_PART, type Theme } from '../theme'
import { FatLine, runSegments } from './fat-line'

const LENGTH_MM = 300

/** Foot and head of the arrow, job axes. */
export function pullArrow({ face, pull }: Pick<Shell, 'face' | 'pull'>): { foot: Vec3; head: Vec3 } {
  const { min, max } = bounds(face)
  const foot: Vec3 = [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, pull[2] > 0 ? max[2] : min[2]]
  return {
    foot,
    head: [foot[0] + pull[0] * LENGTH_MM, foot[1] + pull[1] * LENGTH_MM, foot[2] + pull[2] * LENGTH_MM],
  }
}

export function PullArrow({ shell, theme }: { shell: Shell; theme: Theme }) {
  const { foot, head } = useMemo(() => pullArrow(shell), [shell])
  const turn = useMemo(() => {
    const [x, y, z] = shell.pull
    return new Quaternion().setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(x, y, z))
  }, [shell.pull])
  const shaft = useMemo(() => runSegments([foot, head]), [foot, head])
  return (
    <>
      {/* It stands over the part, so it is dark in both themes. Both lines are see-through, or the casing would come last. */}
      <FatLine segments={shaft} colour={theme.gelcoat} px={5} opacity={0.85} order={4} hidden={false} />
      <FatLine segments={shaft} colour={INK_ON_PART} px={1.6} opacity={0.99} order={5} hidden={false} />
      <mesh renderOrder={6} position={[head[0], head[1], head[2]]} quaternion={turn}>
        <coneGeometry args={[16, 46, 20]} />
        <meshBasicMaterial color={INK_ON_PART} transparent opacity={0.99} depthTest={false} />
      </mesh>
    </>
  )
}
