/** A small still of what one question shows, for the page on which it is signed: drawn once, kept as a picture. */
import './sheet.css'
import { Canvas, useFrame, useThree } from '@react-three/fiber'
import { useEffect, useMemo, useState } from 'react'
import { PCFShadowMap } from 'three'
import { useStore } from 'zustand'
import { UP } from '../core/geometry/axes'
import { bounds } from '../core/geometry/mesh'
import { createSession, type Question } from '../state/session-store'
import type { Stores } from '../state/stores'
import { fitEye } from './camera/eye'
import { createEyeRig } from './camera/eye-rig'
import { fitPoints } from './camera/fit-points'
import { FINE_LAYER, Look } from './camera/look'
import { VIEW_ANGLES } from './camera/views'
import { floorUnder } from './layers/floor-layer'
import { mapsOf } from './maps/sheet-map'
import type { PickRegister } from './picking/pick'
import { Layers } from './scene'
import { createSheetStore } from './sheet-store'
import { useTheme } from './theme'
import { useFrameMesh, usePart, useResult, useSheetMap } from './use-drawn'
import { sheetWords } from './words'

type Signed = Exclude<Question, 'release'>

interface SheetStillProps {
  readonly stores: Stores
  readonly question: Signed
}

/** A still answers to no pointer, so nothing is made ready for one. */
const NOTHING_TO_PICK: PickRegister = {
  add: () => () => undefined,
  pick: () => null,
  hold: () => null,
  nearestOn: () => null,
  hides: () => false,
  heightOf: () => null,
  dispose: () => undefined,
}

const WIDTH = 290
const HEIGHT = 178
/** Pictures until shadow, fonts and textures stand. */
const SETTLED_AFTER = 3

export function SheetStill({ stores, question }: SheetStillProps) {
  // Its own session: a still shows its question whatever is asked on the sheet.
  const own = useMemo((): Stores => {
    const session = createSession()
    session.setState({ question, map: mapsOf(question)[0] ?? 'none' })
    return { ...stores, session }
  }, [stores, question])
  const clearance = useStore(stores.results, (s) => s.steps.clearance.key)
  const fitting = useStore(stores.results, (s) => s.steps.fitting.key)
  const analysis = useStore(stores.results, (s) => s.steps.analysis.key)
  const theme = useTheme()
  // What the picture was made of; when it is of something else, it is drawn again.
  const of = [clearance, question === 'live' ? fitting : '', question === 'off' ? analysis : '', theme.dark].join()
  const [taken, setTaken] = useState<{ readonly of: string; readonly url: string } | null>(null)
  const stale = taken?.of !== of
  return (
    <div className="sheet-still" data-testid={`still-${question}`}>
      {taken && <img src={taken.url} alt={sheetWords.still(question)} />}
      {stale && clearance !== null && (
        <StillScene key={of} stores={own} question={question} onTaken={(url) => setTaken({ of, url })} />
      )}
    </div>
  )
}

function StillScene({ stores, question, onTaken }: SheetStillProps & { onTaken: (url: string) => void }) {
  const [sheet] = useState(createSheetStore)
  const [rig] = useState(createEyeRig)
  const theme = useTheme()
  const frame = useFrameMesh(stores)
  const clearance = useResult(stores, 'clearance')
  const part = usePart(stores, sheet)
  const map = useSheetMap(stores, sheet)
  const floor = useMemo(() => {
    if (!frame) return null
    const { min, max } = bounds(frame)
    return floorUnder(min, max)
  }, [frame])
  useEffect(() => {
    const free = { left: 4, top: 4, width: WIDTH - 8, height: HEIGHT - 8 }
    rig.setRoom(WIDTH, HEIGHT, free)
    const points = fitPoints(frame, clearance?.topside.face ?? null)
    rig.set(fitEye(VIEW_ANGLES[question === 'live' ? 'starboard-aft' : 'starboard-forward'], points, free))
  }, [rig, frame, clearance, question])
  return (
    <div aria-hidden="true">
      <Canvas
        orthographic
        flat
        frameloop="demand"
        dpr={2}
        shadows={{ type: PCFShadowMap, autoUpdate: false, needsUpdate: true }}
        camera={{ manual: true, up: [UP[0], UP[1], UP[2]], position: [0, -10_000, 10_000] }}
        gl={{ alpha: true, antialias: true, localClippingEnabled: true }}
      >
        <Look rig={rig} onTurn={() => undefined} />
        <Layers
          stores={stores}
          sheet={sheet}
          picks={NOTHING_TO_PICK}
          theme={theme}
          floor={floor}
          part={part}
          map={map}
          cut={null}
          through={false}
          alone
        />
        <Take onTaken={onTaken} />
      </Canvas>
    </div>
  )
}

function Take({ onTaken }: { onTaken: (url: string) => void }) {
  const invalidate = useThree((s) => s.invalidate)
  const [count] = useState({ pictures: 0 })
  const camera = useThree((s) => s.camera)
  useEffect(() => {
    camera.layers.enable(FINE_LAYER)
    invalidate()
  }, [camera, invalidate])
  useFrame(({ gl, scene, camera }) => {
    gl.render(scene, camera)
    count.pictures++
    // Taken in the same turn in which it was drawn: afterwards the canvas may be empty.
    if (count.pictures === SETTLED_AFTER) onTaken(gl.domElement.toDataURL('image/png'))
    else if (count.pictures < SETTLED_AFTER) invalidate()
  }, 1)
  return null
}
