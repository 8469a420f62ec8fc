/** Every pull over the hemisphere as a point of a disc, by the area it would lock; choosing one tries it out on the drawing. */
import { type PointerEvent, useMemo } from 'react'
import { useStore } from 'zustand'
import type { PullSearch, Split } from '../../core/analysis'
import type { Point } from '../../core/geometry/axes'
import { angleText, areaText, lengthText, type ShownUnit } from '../../state/format'
import { seatedClearance } from '../../state/results'
import type { PullLook } from '../../state/session-store'
import type { PanelProps } from '../actions'
import { Rows } from '../figures/rows'
import { pullWords as words } from '../words'

const R = 130

export function OtherPulls({ stores, actions, part }: PanelProps & { part: PullLook['part'] }) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const look = useStore(stores.session, (s) => (s.pulls?.part === part ? s.pulls : null))
  const id = useStore(stores.results, (s) => seatedClearance(s.steps)?.[part].face.id ?? null)
  // Of another mesh it says nothing about this one.
  const mine = look && look.meshId === id ? look : null
  const map = mine?.map ?? null
  return (
    <section className="slip-part" data-testid={`pulls-${part}`}>
      <h3>
        {words.heading}, {part}
      </h3>
      <p className="links">
        <button type="button" className="link" onClick={() => actions.lookForPulls(part, false)}>
          {words.look}
        </button>
        {map && !map.symmetric && (
          <button type="button" className="link" onClick={() => actions.lookForPulls(part, true)}>
            {words.within}
          </button>
        )}
      </p>
      {mine?.busy && <p className="field-hint">{words.busy}</p>}
      {map && (
        <>
          <Disc
            search={map.search}
            chosen={mine?.chosen?.pull ?? null}
            onPull={(pull) => actions.tryPull(part, pull)}
          />
          <p className="field-hint">{words.key}</p>
          <ol className="rows" aria-label={words.best}>
            {map.search.best.map((b) => (
              <li key={b.pull.join()}>
                <button type="button" className="link" onClick={() => actions.tryPull(part, b.pull)}>
                  {pullWords(b.pull)}
                </button>
                <span className="quiet">{words.locks(areaText(b.locked_mm2, unit))}</span>
              </li>
            ))}
          </ol>
        </>
      )}
      {mine?.chosen && (
        <>
          <Rows
            testId={`tried-${part}`}
            rows={[
              [words.tried, pullWords(mine.chosen.pull)],
              [
                words.locked,
                words.lockedDeep(
                  areaText(mine.chosen.undercut.area_mm2, unit),
                  lengthText(mine.chosen.undercut.depth_mm, unit),
                ),
              ],
              [words.leastDraft, angleText(mine.chosen.minDraft_deg, 2)],
            ]}
          />
          <p className="field-hint">{words.play}</p>
          <button
            type="button"
            className="link"
            onClick={() => stores.session.setState({ pulls: { ...mine, chosen: null } })}
          >
            {words.back}
          </button>
        </>
      )}
      {map?.split && <SplitRows split={map.split} unit={unit} stores={stores} />}
    </section>
  )
}

function SplitRows({ split, unit, stores }: { split: Split; unit: ShownUnit; stores: PanelProps['stores'] }) {
  const { plane, pulls, partingLine_mm, locked_mm2, lockedWhole_mm2 } = split
  const across = Math.abs(plane.normal[1]) > Math.abs(plane.normal[0]) ? 'y' : 'x'
  const at_mm = plane.offset_mm * (across === 'y' ? plane.normal[1] : plane.normal[0])
  return (
    <>
      <Rows
        testId="split"
        rows={[
          [words.split, split.centreline ? words.centreline : `${across} ${lengthText(at_mm, unit)}`],
          [words.pulls, pulls.map(pullWords).join('; ')],
          [words.stays, areaText(locked_mm2, unit)],
          [words.whole, areaText(lockedWhole_mm2, unit)],
          [words.line, lengthText(partingLine_mm, unit)],
        ]}
      />
      <button
        type="button"
        className="link"
        onClick={() => stores.session.setState({ section: { across, at_mm, spot: null } })}
      >
        {words.show}
      </button>
    </>
  )
}

function Disc(props: { search: PullSearch; chosen: Point | null; onPull: (pull: Point) => void }) {
  const { search, chosen, onPull } = props
  const points = useMemo(() => {
    const { directions, locked_mm2, boundOnly } = search
    let most = 0
    for (const a of locked_mm2) most = Math.max(most, a)
    return Array.from(locked_mm2, (area, i) => {
      const pull: Point = [directions[3 * i]!, directions[3 * i + 1]!, directions[3 * i + 2]!]
      return { pull, place: onDisc(pull), share: most > 0 ? Math.sqrt(area / most) : 0, bound: boundOnly[i] === 1 }
    })
  }, [search])
  const size = points.length > 400 ? 3.4 : 5
  const choose = (event: PointerEvent<SVGSVGElement>) => {
    const box = event.currentTarget.getBoundingClientRect()
    const x = ((event.clientX - box.left) / box.width) * 2 * (R + 6) - (R + 6)
    const y = ((event.clientY - box.top) / box.height) * 2 * (R + 6) - (R + 6)
    let nearest = points[0]
    let least = Infinity
    for (const p of points) {
      const d = (p.place[0] - x) ** 2 + (p.place[1] - y) ** 2
      if (d < least) {
        least = d
        nearest = p
      }
    }
    if (nearest) onPull(nearest.pull)
  }
  return (
    <svg
      className="pull-disc"
      viewBox={`${-R - 6} ${-R - 6} ${2 * R + 12} ${2 * R + 12}`}
      role="img"
      aria-label={words.disc}
      data-testid="pull-disc"
      onPointerDown={choose}
    >
      <circle r={R} className="pull-rim" />
      {points.map((p) => (
        <circle
          key={p.place.join()}
          cx={p.place[0]}
          cy={p.place[1]}
          r={size}
          className={p.bound ? 'pull-bound' : 'pull-known'}
          style={{ opacity: 0.06 + 0.9 * p.share }}
        />
      ))}
      {search.best[0] && <Mark pull={search.best[0].pull} className="pull-best" />}
      {chosen && <Mark pull={chosen} className="pull-chosen" />}
    </svg>
  )
}

function Mark({ pull, className }: { pull: Point; className: string }) {
  const [x, y] = onDisc(pull)
  return <circle cx={x} cy={y} r={8} className={className} />
}

/** Equal areas of directions get equal areas of the disc (Lambert's azimuthal projection of the hemisphere); port is up. */
function onDisc([x, y, z]: Point): readonly [number, number] {
  const flat = Math.hypot(x, y)
  const r = R * Math.sqrt(Math.max(0, 1 - z))
  return flat > 0 ? [(x / flat) * r, (-y / flat) * r] : [0, 0]
}

/** Words of a direction: how far from straight up, and to which side. */
function pullWords([x, y, z]: Point): string {
  const lean = (Math.acos(Math.min(1, Math.max(-1, z))) * 180) / Math.PI
  if (lean < 0.05) return words.straightUp
  const along = words.sides[x > 0 ? 'forward' : 'aft']
  const across = words.sides[y > 0 ? 'port' : 'starboard']
  const [first, second] = Math.abs(x) >= Math.abs(y) ? [along, across] : [across, along]
  const both = Math.min(Math.abs(x), Math.abs(y)) > 0.4 * Math.max(Math.abs(x), Math.abs(y))
  return words.leaning(angleText(lean, 1), first, both ? second : null)
}
