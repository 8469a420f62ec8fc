/** The sheet: the drawing and everything that stands on it. Fills its place; the frame line is the place's own. */
import './sheet.css'
import { type KeyboardEvent, useCallback, useEffect, useMemo, useRef, useState } from 'react'
import { useStore } from 'zustand'
import { bounds } from '../core/geometry/mesh'
import { cancelPlacing, finishPlacing } from '../state/placing'
import type { Stores } from '../state/stores'
import { createEyeRig } from './camera/eye-rig'
import { fitPoints } from './camera/fit-points'
import { eyeAfterKey } from './camera/pointer'
import { useFlights } from './camera/use-flights'
import { Glass } from './glass/glass'
import { DrawingMarks, pullWordsOf } from './labels/drawing-marks'
import { FittingHandles } from './labels/fitting-handles'
import { Leaders } from './labels/leaders'
import { type Floor, floorUnder } from './layers/floor-layer'
import { pullArrow } from './layers/pull-arrow'
import { playPull } from './layers/pull-play'
import { Legend } from './legend/legend'
import { mapsOf } from './maps/sheet-map'
import { nudgeFitting } from './picking/move-fitting'
import { createPickRegister } from './picking/pick'
import { ProbeCard } from './picking/probe-card'
import { usePointer } from './picking/use-pointer'
import { Scene } from './scene'
import { cutEndsOf } from './section/cut-ends'
import { makeCut, shareBeyond } from './section/cut-side'
import { createSheetStore } from './sheet-store'
import { reducedMotion, useTheme } from './theme'
import { TitleBlock } from './title-block'
import { alongPull, useFrameMesh, usePart, useResult, useSection, useSheetMap } from './use-drawn'
import { useRoom } from './use-room'
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
  const tried = useStore(stores.session, (s) => s.pulls?.chosen ?? null)
  const shell = useMemo(() => alongPull(clearance?.[part] ?? null, tried), [clearance, part, tried])
  const room = useRoom(stores, sheet, root, rig, mapsOf(question, slip).length > 0)

  const floor = useMemo((): Floor | null => {
    if (!frame) return null
    const { min, max } = bounds(frame)
    return floorUnder(min, max)
  }, [frame])
  const cut = useMemo(
    () => (section && shell ? makeCut(section, rig.now().basis, shareBeyond(shell.face, section)) : null),
    [section, shell, rig],
  )
  const cutEnds = useMemo(() => (cut && shell ? cutEndsOf(shell.face, cut.section) : null), [cut, shell])
  const pull = useMemo(
    () => (question === 'off' && slip !== 'build' && shell ? pullArrow(shell) : null),
    [question, slip, shell],
  )

  const inSight = useMemo(() => fitPoints(frame, clearance?.topside.face ?? null), [frame, clearance])
  useFlights(stores, sheet, rig, room, inSight)
  usePointer({ stores, sheet, rig, picks, hand, cut })

  const onKeyDown = useCallback(
    (e: KeyboardEvent) => {
      if (e.ctrlKey || e.metaKey || e.altKey || e.target !== e.currentTarget) return
      if (stores.session.getState().question === 'live' && nudgeFitting(stores, e.key, e.shiftKey)) e.preventDefault()
      else if (e.key === '0') stores.session.setState((s) => ({ viewAsked: s.viewAsked + 1 }))
      else if (e.key === 'Escape' && stores.session.getState().placing) cancelPlacing(stores)
      else if (e.key === 'Enter' && stores.session.getState().placing) finishPlacing(stores)
      else if (e.key === 'Escape' && stores.session.getState().fitting) stores.session.setState({ fitting: null })
      else {
        const eye = eyeAfterKey(rig, e.key, e.shiftKey)
        if (!eye) return
        e.preventDefault()
        rig.set(eye)
        sheet.setState({ turned: true })
      }
    },
    [stores, rig, sheet],
  )

  return (
    <div ref={root} className="sheet" data-testid="sheet">
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
        />
      </div>
      <svg className="sheet-over" width={room.width} height={room.height} aria-label={sheetWords.sheet}>
        {floor && (
          <DrawingMarks
            rig={rig}
            room={room}
            floor={floor}
            unit={unit}
            cut={cut}
            cutEnds={cutEnds}
            pullHead={pull?.head ?? null}
            pullWords={shell ? pullWordsOf(shell.pull) : ''}
            onPull={() => playPull(sheet, rig, reducedMotion())}
          />
        )}
        <Glass stores={stores} sheet={sheet} rig={rig} room={room} section={section} part={part} />
        {question === 'live' && fitting && <FittingHandles stores={stores} rig={rig} placed={fitting.placed} />}
        <Leaders stores={stores} rig={rig} room={room} />
      </svg>
      <Legend stores={stores} sheet={sheet} rig={rig} room={room} map={map} part={part} theme={theme} />
      <TitleBlock stores={stores} sheet={sheet} rig={rig} room={room} />
      <ProbeCard stores={stores} sheet={sheet} room={room} />
    </div>
  )
}
