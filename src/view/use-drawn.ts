/** What of the stores is drawn: results at hand (stale ones too), the map, the cut, the findings with their places. */
import { useMemo } from 'react'
import { useStore } from 'zustand'
import type { PullStudy } from '../core/analysis'
import type { Shell } from '../core/clearance/types'
import type { FlowMap, FlowStep } from '../core/flow'
import type { DisplayCopy } from '../core/geometry/display-copy'
import type { Mesh } from '../core/geometry/mesh'
import type { Finding } from '../core/geometry/trouble'
import { answers } from '../state/answers'
import { frameMesh, needsCopy } from '../state/display-copy'
import { seatedClearance } from '../state/results'
import { findingPlace, isMetalAlone } from '../state/session-moves'
import type { Section } from '../state/session-store'
import type { Stores } from '../state/stores'
import type { Vec3 } from './camera/eye'
import { partInTrouble, type SheetMap, sheetMap } from './maps/sheet-map'
import { defaultSection, sectionThrough } from './section/default-section'
import type { PartName, SheetStore } from './sheet-store'

/** The shells are drawn with their seats. */
export const useResult = <N extends FlowStep>(stores: Stores, name: N): FlowMap[N]['result'] | null =>
  useStore(stores.results, (s): FlowMap[N]['result'] | null =>
    name === 'clearance' ? (seatedClearance(s.steps) as FlowMap[N]['result'] | null) : s.steps[name].result,
  )

/** The metal, in job axes once there is a datum, in scan axes until then. */
export const useFrameMesh = (stores: Stores): Mesh | null => useStore(stores.results, frameMesh)

/** What is drawn of the metal: the copy of a large scan where there is one; null: nothing yet. */
export function useDrawnFrame(stores: Stores): { readonly mesh: Mesh; readonly copy: DisplayCopy | null } | null {
  const mesh = useFrameMesh(stores)
  const made = useStore(stores.results, (s) => s.copy)
  return useMemo(() => {
    if (!mesh) return null
    if (!needsCopy(mesh)) return { mesh, copy: null }
    return made?.of === mesh.id ? { mesh, copy: made } : null
  }, [mesh, made])
}

export const useMetalAlone = (stores: Stores): boolean => useStore(stores.session, (s) => isMetalAlone(s.slip))

export function usePart(stores: Stores, sheet: SheetStore): PartName {
  const chosen = useStore(sheet, (s) => s.part)
  const question = useStore(stores.session, (s) => s.question)
  const finding = useStore(stores.session, (s) => s.finding)
  const slip = useStore(stores.session, (s) => s.slip)
  const fillingShell = useStore(stores.session, (s) => s.fillingShell)
  const analysis = useResult(stores, 'analysis')
  const studied = useStore(stores.session, (s) => s.pulls?.part ?? null)
  return useMemo(() => {
    if (slip === 'build') return fillingShell
    if (question === 'clear') return 'underside'
    if (question !== 'off') return 'topside'
    const told = (['underside', 'topside'] as const).find((name) => finding?.includes(name))
    return studied ?? chosen ?? told ?? partInTrouble(analysis)
  }, [question, chosen, finding, analysis, slip, fillingShell, studied])
}

export function useSheetMap(stores: Stores, sheet: SheetStore): SheetMap | null {
  const part = usePart(stores, sheet)
  const question = useStore(stores.session, (s) => s.question)
  const map = useStore(stores.session, (s) => s.map)
  const limits = useStore(stores.session, (s) => s.limits)
  const minRadius_mm = useStore(stores.jobs, (s) => s.history.job.clearance.minRadius_mm)
  const tried = useStore(stores.session, (s) => s.pulls?.chosen ?? null)
  const moved = useStore(stores.session, (s) => s.moved?.parts ?? null)
  const metal = useStore(stores.session, (s) => s.metal)
  const datum = useResult(stores, 'datum')
  const clearance = useResult(stores, 'clearance')
  const analysis = useResult(stores, 'analysis')
  const build = useResult(stores, 'build')
  const slip = useStore(stores.session, (s) => s.slip)
  const mirrorShown = useStore(stores.session, (s) => s.mirrorShown)
  return useMemo(
    () =>
      sheetMap(
        {
          ...(datum && { datum }),
          ...(clearance && { clearance }),
          ...(analysis && { analysis }),
          ...(build && { build }),
        },
        { slip, mirrorShown, question, map, part, limits, minRadius_mm, tried, moved, metal },
      ),
    [
      datum,
      clearance,
      analysis,
      build,
      slip,
      mirrorShown,
      question,
      map,
      part,
      limits,
      minRadius_mm,
      tried,
      moved,
      metal,
    ],
  )
}

/** The shell with the pull that is tried out on it, where one is. */
function alongPull(shell: Shell | null, tried: PullStudy | null): Shell | null {
  if (!shell || !tried || tried.meshId !== shell.face.id) return shell
  const [x, y, z] = tried.pull
  return { ...shell, pull: [x, y, z] }
}

/** What of a part is drawn: roughly, while a setting of the underside is being chosen; along the pull that is tried out on it. */
export function useShownShell(stores: Stores, part: PartName): Shell | null {
  const clearance = useResult(stores, 'clearance')
  const tried = useStore(stores.session, (s) => s.pulls?.chosen ?? null)
  const rough = useStore(stores.session, (s) => (s.question === 'clear' ? s.rough : null))
  return useMemo(
    () => (part === 'underside' ? rough : null) ?? alongPull(clearance?.[part] ?? null, tried),
    [clearance, part, rough, tried],
  )
}

/** The section that was asked for; for the first question, the one through the least gap. */
export function useSection(stores: Stores): Section | null {
  const asked = useStore(stores.session, (s) => s.section)
  // Shells that stand apart are looked between, not into; from the helm one sees them whole.
  const none = useStore(stores.session, (s) => s.uncut || s.apart || s.view === 'helm')
  const question = useStore(stores.session, (s) => s.question)
  // The filling is looked at whole.
  const building = useStore(stores.session, (s) => s.slip === 'build')
  const alone = useMetalAlone(stores)
  const clearance = useResult(stores, 'clearance')
  const datum = useResult(stores, 'datum')
  return useMemo(() => {
    if (none || alone) return null
    if (!clearance || !datum) return asked
    if (building) return null
    // The plane through a spot is chosen here, where it can be seen what it would show; a bare plane is left as it is.
    if (asked) return asked.spot ? sectionThrough(asked.spot, clearance.outline, datum.mesh) : asked
    return question === 'clear' ? defaultSection(clearance, datum.mesh) : null
  }, [asked, none, alone, question, building, clearance, datum])
}

export interface PlacedFinding {
  readonly finding: Finding
  /** Its number in the column, from 1. */
  readonly number: number
  readonly at: Vec3
}

const MOST_RINGS = 6

/** Findings of the question that is asked, as the column numbers them, as far as they have a place. */
export function usePlacedFindings(stores: Stores): readonly PlacedFinding[] {
  const results = useStore(stores.results)
  const history = useStore(stores.jobs, (s) => s.history)
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const question = useStore(stores.session, (s) => s.question)
  const chosen = useStore(stores.session, (s) => s.finding)
  const alone = useMetalAlone(stores)
  const helm = useStore(stores.session, (s) => s.view === 'helm')
  return useMemo(() => {
    const { findings } = answers({ results, history, unit })[question]
    const placed = findings.flatMap((finding, i) => {
      // A ring about a shell that is not drawn would point at nothing.
      if (alone && !isMetalAlone(finding.step)) return []
      const at = findingPlace(finding, results.steps)
      return at ? [{ finding, number: i + 1, at }] : []
    })
    // Notes wait until they are chosen; the chosen one always has its ring.
    // From the helm most of them lie behind the top: only the chosen one is pointed at.
    const shown = placed.filter((p) => (p.finding.severity !== 'note' && !helm) || p.finding.id === chosen)
    const few = shown.slice(0, MOST_RINGS)
    const mine = placed.find((p) => p.finding.id === chosen)
    return mine && !few.includes(mine) ? [...few.slice(0, MOST_RINGS - 1), mine] : few
  }, [results, history, unit, question, chosen, alone, helm])
}
