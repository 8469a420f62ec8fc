/** The sheet: the drawing and everything that stands on it. Fills its place; the frame line is the place's own. */
import './sheet.css'
import { type KeyboardEvent, useCallback, useEffect, useMemo, useRef, useState } from 'react'
import { useStore } from 'zustand'
import { bounds, type Mesh } from '../core/geometry/mesh'
import { leaveAsked } from '../state/asked-place'
import { datumKey } from '../state/datum-moves'
import { layingShown } from '../state/laying'
import { cancelPlacing, finishPlacing } from '../state/placing'
import { chooseTube, leaveHelm } from '../state/session-moves'
import type { Stores } from '../state/stores'
import { playSpread, raise_mm } from './apart'
import type { Vec3 } from './camera/eye'
import { createEyeRig } from './camera/eye-rig'
import { fitPoints } from './camera/fit-points'
import { eyeAfterKey } from './camera/pointer'
import { useFlights } from './camera/use-flights'
import { Glass } from './glass/glass'
import { DrawingMarks, pullWordsOf } from './labels/drawing-marks'
import { FittingHandles } from './labels/fitting-handles'
import { HelmMarks } from './labels/helm-marks'
import { Leaders } from './labels/leaders'
import { LookedAt } from './labels/looked-at'
import { PickMarks } from './labels/pick-marks'
import { RemarkPins } from './labels/remark-pins'
import { TubeMarks } from './labels/tube-marks'
import { FIGURE_MM, figurePoints } from './layers/figure-layer'
import { type Floor, floorUnder } from './layers/floor-layer'
import { pullArrow } from './layers/pull-arrow'
import { playPull } from './layers/pull-play'
import { Legend } from './legend/legend'
import { mapsOf } from './maps/sheet-map'
import { Looks } from './measuring/looks'
import { MeasureMarks } from './measuring/measure-marks'
import { crossKey } from './picking/cross-keys'
import { nudgeFitting } from './picking/move-fitting'
import { createPickRegister } from './picking/pick'
import { type Pointing, pointAt } from './picking/point-at'
import { ProbeCard } from './picking/probe-card'
import { usePointer } from './picking/use-pointer'
import { Scene } from './scene'
import { cutEndsOf } from './section/cut-ends'
import { makeCut, shareBeyond } from './section/cut-side'
import { ShapeMarks } from './shape/shape-marks'
import { createSheetStore, type SheetStore } from './sheet-store'
import { reducedMotion, useTheme } from './theme'
import { TitleBlock } from './title-block'
import { useFrameMesh, usePart, useResult, useSection, useSheetMap, useShownShell } from './use-drawn'
import { useFigureStand, useHelmEye } from './use-helm'
import { useRoom } from './use-room'
import { useThrough } from './use-through'
import { sheetWords } from './words'

export function Sheet({ stores }: { stores: Stores }) {
  const [sheet] = useState(createSheetStore)
  const [rig] = useState(createEyeRig)
  const [picks] = useState(createPickRegister)
  const root = useRef<HTMLDivElement>(null)
  const hand = useRef<HTMLDivElement>(null)
  useEffect(() => () => picks.dispose(), [picks])
  useEffect(() => {
    // The drawing itself is worked by keys.
    if (hand.current) hand.current.tabIndex = 0
  }, [])

  const theme = useTheme()
  const question = useStore(stores.session, (s) => s.question)
  const slip = useStore(stores.session, (s) => s.slip)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const frame = useFrameMesh(stores)
  const clearance = useResult(stores, 'clearance')
  const fitting = useResult(stores, 'fitting')
  const part = usePart(stores, sheet)
  const map = useSheetMap(stores, sheet)
  const section = useSection(stores)
  const mirrorShown = useStore(stores.session, (s) => s.mirrorShown)
  const shell = useShownShell(stores, part)
  const room = useRoom(stores, sheet, root, rig, mapsOf(question, slip, mirrorShown).length > 0)

  const laying = useStore(stores.session, (s) => layingShown(s)?.drawn ?? null)
  const floor = useMemo((): Floor | null => {
    if (laying) return floorOf(laying.standing, laying.moving)
    return frame && floorOf(frame)
  }, [frame, laying])
  const cut = useMemo(
    () => (section && shell && !laying ? makeCut(section, rig.now().basis, shareBeyond(shell.face, section)) : null),
    [section, shell, rig, laying],
  )
  const cutEnds = useMemo(() => (cut && shell ? cutEndsOf(shell.face, cut.section) : null), [cut, shell])
  const pull = useMemo(
    () => (question === 'off' && slip !== 'build' && shell ? pullArrow(shell) : null),
    [question, slip, shell],
  )

  const apart = useStore(stores.session, (s) => s.apart)
  const measuring = useStore(stores.session, (s) => s.measuring)
  useEffect(() => playSpread(sheet, rig, apart, reducedMotion()), [sheet, rig, apart])
  const figure = useStore(stores.session, (s) => s.figure)
  const stand = useFigureStand(stores, floor)
  const eyes = useHelmEye(stores)
  const helm = useStore(stores.session, (s) => s.view === 'helm')
  const inSight = useMemo(() => {
    if (laying) return fitPoints(laying.standing, laying.moving)
    const points: Vec3[] = fitPoints(frame, clearance?.topside.face ?? null)
    if (figure && stand) points.push(...figurePoints(stand))
    if (apart && clearance)
      for (const [x, y, z] of fitPoints(clearance.topside.face)) points.push([x, y, z + raise_mm('topside')])
    return points
  }, [laying, frame, clearance, apart, figure, stand])
  useFlights(stores, sheet, rig, room, inSight, eyes)
  const pointing = useMemo((): Pointing => ({ stores, sheet, rig, picks, cut }), [stores, sheet, rig, picks, cut])
  usePointer({ pointing, hand })
  useEffect(() => {
    // What is known of a place differs by what is asked of it.
    const { cross } = sheet.getState()
    if (cross) pointAt(pointing, cross)
    if (!measuring) sheet.setState({ pending: null })
  }, [sheet, pointing, measuring])
  const through = useThrough(pointing)
  const meshIds = useMemo(
    () =>
      new Set([
        ...(frame ? [frame.id] : []),
        ...(clearance ? [clearance.underside.face.id, clearance.topside.face.id] : []),
        ...(fitting?.placed.map((p) => p.mesh.id) ?? []),
      ]),
    [frame, clearance, fitting],
  )

  const onKeyDown = useCallback(
    (e: KeyboardEvent) => {
      if (e.ctrlKey || e.metaKey || e.altKey || e.target !== e.currentTarget) return
      if (crossKey(pointing, e.key, e.shiftKey)) {
        e.preventDefault()
        e.stopPropagation()
      } else if (stores.session.getState().question === 'live' && nudgeFitting(stores, e.key, e.shiftKey))
        e.preventDefault()
      else if (datumKey(stores, e.key)) e.preventDefault()
      else if (e.key === '0') stores.session.setState((s) => ({ viewAsked: s.viewAsked + 1 }))
      else if (e.key === 'Escape' && stores.session.getState().placing) cancelPlacing(stores)
      else if (e.key === 'Escape' && stores.session.getState().asked) leaveAsked(stores)
      else if (e.key === 'Enter' && stores.session.getState().placing) finishPlacing(stores)
      else if (e.key === 'Escape' && stores.session.getState().tube) chooseTube(stores.session, null)
      else if (e.key === 'Escape' && stores.session.getState().fitting) stores.session.setState({ fitting: null })
      else if (e.key === 'Escape' && helm) {
        e.stopPropagation()
        leaveHelm(stores.session)
      } else {
        const eye = eyeAfterKey(rig, e.key, e.shiftKey)
        if (!eye) return
        e.preventDefault()
        rig.set(eye)
        sheet.setState({ turned: true })
      }
    },
    [stores, rig, sheet, pointing, helm],
  )

  return (
    <div ref={root} className={helm ? 'sheet at-helm' : 'sheet'} data-testid="sheet">
      <div
        ref={hand}
        className="sheet-hand"
        role="application"
        aria-label={`${sheetWords.sheet}. ${sheetWords.sheetHelp}`}
        onKeyDown={onKeyDown}
      >
        <Scene
          stores={stores}
          sheet={sheet}
          rig={rig}
          picks={picks}
          theme={theme}
          floor={floor}
          part={part}
          map={map}
          cut={cut}
          through={through}
        />
      </div>
      <svg className="sheet-over" width={room.width} height={room.height} aria-label={sheetWords.sheet}>
        {helm && <HelmMarks rig={rig} room={room} eye={eyes} />}
        {floor && (
          <DrawingMarks
            rig={rig}
            room={room}
            floor={floor}
            unit={unit}
            cut={cut}
            cutEnds={cutEnds}
            pullHead={apart ? null : (pull?.head ?? null)}
            pullWords={shell ? pullWordsOf(shell.pull) : ''}
            stores={stores}
            onPull={() => playPull(sheet, rig, reducedMotion())}
          />
        )}
        {/* From the helm the whole sheet is for what is seen there. */}
        {!helm && !laying && (
          <Glass stores={stores} sheet={sheet} rig={rig} room={room} section={section} part={part} />
        )}
        {question === 'live' && fitting && !apart && (
          <FittingHandles stores={stores} rig={rig} placed={fitting.placed} />
        )}
        {question === 'live' && fitting && !apart && <RemarkPins stores={stores} rig={rig} placed={fitting.placed} />}
        {(slip === 'scan' || slip === 'frame') && <LookedAt stores={stores} rig={rig} />}
        {slip === 'frame' && <TubeMarks stores={stores} rig={rig} />}
        {!apart && !laying && <Leaders stores={stores} rig={rig} room={room} />}
        {question === 'clear' && slip === 'clearance' && !apart && <ShapeMarks stores={stores} rig={rig} />}
        <MeasureMarks sheet={sheet} rig={rig} unit={unit} measuring={measuring} />
        <PickMarks stores={stores} rig={rig} />
        <Cross sheet={sheet} />
      </svg>
      <Looks stores={stores} sheet={sheet} rig={rig} figure_mm={stand?.height_mm ?? FIGURE_MM} meshIds={meshIds} />
      <Legend stores={stores} sheet={sheet} rig={rig} room={room} map={map} part={part} theme={theme} />
      <TitleBlock stores={stores} sheet={sheet} rig={rig} room={room} />
      <ProbeCard stores={stores} sheet={sheet} room={room} />
    </div>
  )
}

function floorOf(...meshes: readonly Mesh[]): Floor {
  const boxes = meshes.map(bounds)
  const end = (of: 'min' | 'max', k: number) => Math[of](...boxes.map((box) => box[of][k]!))
  return floorUnder([end('min', 0), end('min', 1), end('min', 2)], [end('max', 0), end('max', 1), end('max', 2)])
}

/** The keyboard's pointer. */
function Cross({ sheet }: { sheet: SheetStore }) {
  const cross = useStore(sheet, (s) => s.cross)
  if (!cross) return null
  return <path className="cross" d={`M${cross.x - 14} ${cross.y}h28M${cross.x} ${cross.y - 14}v28`} />
}
