/** The canvas: parallel projection, z up, job axes in millimetres, and the layers of the question that is asked. */
import { OrthographicCamera } from '@react-three/drei'
import { Canvas, useThree } from '@react-three/fiber'
import { memo, useEffect, useMemo, useRef } from 'react'
import { type DirectionalLight, PCFShadowMap } from 'three'
import { useStore } from 'zustand'
import { UP } from '../core/geometry/axes'
import { layingShown } from '../state/laying'
import { isMetalAlone } from '../state/session-moves'
import type { Stores } from '../state/stores'
import type { EyeRig } from './camera/eye-rig'
import { Look, Sharpness } from './camera/look'
import { ContextCare } from './context-care'
import { CropLayer } from './layers/crop-layer'
import { FeedsLayer } from './layers/feeds-layer'
import { FigureLayer } from './layers/figure-layer'
import { FittingsLayer } from './layers/fittings-layer'
import { type Floor, FloorLayer } from './layers/floor-layer'
import { FrameLayer } from './layers/frame-layer'
import { HorizonLayer } from './layers/horizon-layer'
import { KeptLine } from './layers/kept-line'
import { LightLayer } from './layers/light-layer'
import { MirrorLayer } from './layers/mirror-layer'
import { PassesLayer } from './layers/passes-layer'
import { PullArrow } from './layers/pull-arrow'
import { RoomLayer } from './layers/room-layer'
import { ShellLayer } from './layers/shell-layer'
import { TubesLayer } from './layers/tubes-layer'
import { WireLayer } from './layers/wire-layer'
import type { SheetMap } from './maps/sheet-map'
import type { PickRegister } from './picking/pick'
import { type Cut, turnCut } from './section/cut-side'
import type { PartName, SheetStore } from './sheet-store'
import type { Theme } from './theme'
import { useDrawnFrame, useFrameMesh, useResult, useShownShell } from './use-drawn'
import { useFigureStand, useHelmEye } from './use-helm'

export interface SceneProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly picks: PickRegister
  readonly theme: Theme
  readonly floor: Floor | null
  readonly part: PartName
  readonly map: SheetMap | null
  readonly cut: Cut | null
  /** One looks through the shells. */
  readonly through: boolean
}

const MOST_DPR = 2
const BOTH = ['underside', 'topside'] as const

/** Drawn again only when one of its own things changes: a tick of progress elsewhere must not cost a picture. */
export const Scene = memo(function Scene(props: SceneProps) {
  const { rig, cut } = props
  const dpr = Math.min(window.devicePixelRatio, MOST_DPR)
  return (
    <Canvas
      orthographic
      flat
      frameloop="demand"
      dpr={dpr}
      shadows={{ type: PCFShadowMap, autoUpdate: false, needsUpdate: true }}
      gl={{ alpha: true, antialias: true, localClippingEnabled: true }}
      // Events are ours: rays go against search trees, not against every facet.
      events={() => ({ enabled: false, priority: 0, compute: () => undefined })}
    >
      {/* Placed and shaped by the rig alone. */}
      <OrthographicCamera makeDefault manual up={[UP[0], UP[1], UP[2]]} position={[0, -10_000, 10_000]} />
      <Look rig={rig} onTurn={() => cut && turnCut(cut, rig.now().basis)} />
      <Sharpness rig={rig} most={dpr} />
      <ContextCare stores={props.stores} />
      <Layers {...props} />
    </Canvas>
  )
})

interface LayersProps extends Omit<SceneProps, 'rig'> {
  /** Only the parts, without floor and arrow. */
  readonly alone?: boolean
}

export function Layers({ stores, sheet, picks, theme, floor, part, map, cut, through, alone = false }: LayersProps) {
  const frame = useFrameMesh(stores)
  const drawnFrame = useDrawnFrame(stores)
  const scan = useResult(stores, 'scan')
  const clearance = useResult(stores, 'clearance')
  const fitting = useResult(stores, 'fitting')
  const question = useStore(stores.session, (s) => s.question)
  const building = useStore(stores.session, (s) => s.slip === 'build')
  const build = useResult(stores, 'build')
  const tooling = useResult(stores, 'tooling')
  const cutting = useStore(stores.session, (s) => s.slip === 'tooling')
  const shell = useShownShell(stores, part)
  const held = useStore(stores.session, (s) => s.held)
  const heldOff = useMemo(
    () =>
      held && (held.shell === part || question !== 'clear') && held.mm > 0
        ? ([held.direction[0] * held.mm, held.direction[1] * held.mm, held.direction[2] * held.mm] as const)
        : null,
    [held, part, question],
  )
  const kept = useStore(stores.session, (s) => s.kept?.face ?? null)
  const apart = useStore(stores.session, (s) => s.apart)
  const figure = useStore(stores.session, (s) => s.figure)
  const helm = useStore(stores.session, (s) => s.view === 'helm')
  const eyes = useHelmEye(stores)
  const stand = useFigureStand(stores, floor)
  const drawn: readonly PartName[] = apart || helm ? BOTH : [part]
  const slip = useStore(stores.session, (s) => s.slip)
  const picking = useStore(stores.session, (s) => s.asked?.for === 'datum')
  const mirrorShown = useStore(stores.session, (s) => s.mirrorShown)
  const datum = useResult(stores, 'datum')
  const bare = map?.on === 'frame' || picking || (isMetalAlone(slip) && !alone)
  const laying = useStore(stores.session, (s) => layingShown(s)?.drawn ?? null)
  const heightAt = useMemo(() => picks.heightOf.bind(picks), [picks])
  if (laying)
    return (
      <>
        <Lights theme={theme} floor={floor} />
        <FrameLayer mesh={laying.standing} rimVertex={null} map={null} theme={theme} picks={picks} />
        <FrameLayer mesh={laying.moving} rimVertex={null} map={null} theme={theme} picks={picks} />
      </>
    )
  return (
    <>
      <Lights theme={theme} floor={floor} />
      {frame && floor && !alone && (
        <FloorLayer floor={floor} frame={frame} outline={clearance?.outline ?? null} theme={theme} />
      )}
      {drawnFrame && (
        <FrameLayer {...drawnFrame} rimVertex={scan?.rimVertex ?? null} map={map} theme={theme} picks={picks} />
      )}
      {datum &&
        drawnFrame &&
        datum.mesh === frame &&
        !alone &&
        slip === 'datum' &&
        mirrorShown === 'image' &&
        !picking && <MirrorLayer stores={stores} datum={datum} copy={drawnFrame.copy} theme={theme} />}
      {frame && !alone && <CropLayer stores={stores} mesh={frame} theme={theme} />}
      {frame && !alone && (slip === 'frame' || slip === 'datum') && (
        <TubesLayer
          stores={stores}
          mesh={frame}
          copy={drawnFrame?.copy ?? null}
          theme={theme}
          axes={slip === 'frame'}
        />
      )}
      {kept && cut && part === 'underside' && !apart && (
        <KeptLine face={kept} section={cut.section} colour={theme.blue} />
      )}
      {clearance &&
        !bare &&
        drawn.map((name) => (
          <ShellLayer
            key={name}
            part={name}
            shell={(name === part ? shell : null) ?? clearance[name]}
            map={map}
            cut={name === part ? cut : null}
            theme={theme}
            picks={picks}
            sheet={sheet}
            held={name === part ? heldOff : null}
            through={through}
          />
        ))}
      {question === 'live' && fitting && (
        <FittingsLayer
          stores={stores}
          placed={fitting.placed}
          theme={theme}
          picks={picks}
          sheet={sheet}
          heightAt={heightAt}
        />
      )}
      {building && shell && !alone && !apart && (
        <FeedsLayer stores={stores} plan={build?.infusion.find((i) => i.name === part) ?? null} theme={theme} />
      )}
      {cutting && !alone && !apart && (
        <PassesLayer tool={tooling?.tools.find((t) => t.role === part) ?? null} theme={theme} />
      )}
      {figure && stand && !alone && !helm && <FigureLayer stand={stand} theme={theme} />}
      {helm && !alone && <HorizonLayer eye={eyes} theme={theme} />}
      {question === 'live' && !apart && !alone && <WireLayer fitting={fitting} theme={theme} />}
      {question === 'live' && fitting && !apart && !alone && (
        <RoomLayer stores={stores} fitting={fitting} theme={theme} />
      )}
      {question === 'live' && fitting && !apart && <LightLayer lights={fitting.lights} theme={theme} />}
      {question === 'off' && !building && shell && !alone && !apart && <PullArrow shell={shell} theme={theme} />}
    </>
  )
}

/** Key from the upper left with a shadow, sky and floor, a little fill. */
function Lights({ theme, floor }: { theme: Theme; floor: Floor | null }) {
  const key = useRef<DirectionalLight>(null)
  const gl = useThree((s) => s.gl)
  const invalidate = useThree((s) => s.invalidate)
  useEffect(() => {
    const light = key.current
    if (!light || !floor) return
    const middle = [(floor.min[0] + floor.max[0]) / 2, (floor.min[1] + floor.max[1]) / 2, floor.z + 500] as const
    const half = Math.hypot(floor.max[0] - floor.min[0], floor.max[1] - floor.min[1]) / 2
    light.position.set(middle[0] - 1600 * 2, middle[1] - 1500 * 2, middle[2] + 3600 * 2)
    light.target.position.set(...middle)
    light.target.updateMatrixWorld()
    const { camera } = light.shadow
    camera.left = -half
    camera.right = half
    camera.top = half
    camera.bottom = -half
    camera.near = 10
    camera.far = 20_000
    camera.updateProjectionMatrix()
    gl.shadowMap.needsUpdate = true
    invalidate()
  }, [floor, gl, invalidate])
  return (
    <>
      <directionalLight
        ref={key}
        intensity={1.9}
        castShadow
        shadow-mapSize={[2048, 2048]}
        shadow-bias={-0.0006}
        shadow-normalBias={3}
        shadow-radius={3}
      />
      <hemisphereLight args={[theme.sky, theme.bounce, theme.skyStrength]} position={[0, 0, 1]} />
      <directionalLight intensity={0.35} position={[2600, -1800, 700]} />
    </>
  )
}
