/** The legend box: names of the maps, area by value, the limit as a lead that can be dragged, and what the textures mean. */
import { useId, useMemo, useRef } from 'react'
import { useStore } from 'zustand'
import { angleText, areaFigure, lengthText, type ShownUnit, settingFigure, trimmed } from '../../state/format'
import type { Stores } from '../../state/stores'
import type { EyeRig } from '../camera/eye-rig'
import { facetNormalsOf } from '../geometry/facet-data'
import { FAILS } from '../maps/facet-classes'
import { areaHistogram } from '../maps/histogram'
import { cssAt, type MapScale } from '../maps/map-scale'
import { mapsOf, type SheetMap } from '../maps/sheet-map'
import type { Room } from '../room'
import type { PartName, SheetStore } from '../sheet-store'
import { INK_ON_PART, type Theme } from '../theme'
import { fillingWords, sheetWords } from '../words'
import { FillingLead, FillingPlay } from './filling-lead'
import { ScaleLead } from './scale-lead'

export interface LegendProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly room: Room
  readonly map: SheetMap | null
  readonly part: PartName
  readonly theme: Theme
}

const PAD = 20
const BARS_PX = { large: 42, small: 26, phone: 26 }

export function Legend({ stores, sheet, rig, room, map, part, theme }: LegendProps) {
  const slip = useStore(stores.session, (s) => s.slip)
  const question = useStore(stores.session, (s) => s.question)
  const mirrorShown = useStore(stores.session, (s) => s.mirrorShown)
  const rough = useStore(stores.session, (s) => s.question === 'clear' && s.rough !== null)
  const trying = useStore(stores.session, (s) => s.trial !== null)
  const box = room.legend
  if (!box) return null
  const width = box.right - box.left
  return (
    <section
      className={`legend ${room.size}`}
      style={{ width, height: box.bottom - box.top }}
      aria-label={map ? sheetWords.legend(sheetWords.maps[map.name]) : sheetWords.noMap}
    >
      <div className="legend-names">
        {mapsOf(question, slip, mirrorShown).map((name) => (
          <button
            key={name}
            type="button"
            className={name === map?.name ? 'chosen' : ''}
            aria-pressed={name === map?.name}
            onClick={() => stores.session.setState({ map: name })}
          >
            {sheetWords.maps[name]}
          </button>
        ))}
        {map?.name === 'moved' && (
          <button type="button" className="chosen" aria-pressed>
            {sheetWords.maps.moved}
          </button>
        )}
        {map?.name === 'filling' && <FillingPlay sheet={sheet} rig={rig} fill_min={map.scale.colourTo} />}
        {(question === 'off' || slip === 'build') && (
          <button
            type="button"
            className="legend-part"
            aria-label={`${sheetWords.partCell}: ${sheetWords.parts[part]}`}
            onClick={() => {
              const other = part === 'topside' ? 'underside' : 'topside'
              if (slip === 'build') stores.session.setState({ fillingShell: other, placing: null })
              sheet.setState({ part: other, pulled: 0, filledTo_min: null })
            }}
          >
            {sheetWords.parts[part]}
          </button>
        )}
      </div>
      {rough ? (
        <p className="legend-none" role="status" data-testid="rough">
          {trying ? sheetWords.roughTried : sheetWords.rough}
        </p>
      ) : map ? (
        <Scale stores={stores} sheet={sheet} rig={rig} room={room} map={map} theme={theme} width={width} />
      ) : (
        <p className="legend-none">{sheetWords.noMap}</p>
      )}
    </section>
  )
}

interface ScaleProps {
  readonly stores: Stores
  readonly sheet: SheetStore
  readonly rig: EyeRig
  readonly room: Room
  readonly map: SheetMap
  readonly theme: Theme
  readonly width: number
}

function Scale({ stores, sheet, rig, room, map, theme, width }: ScaleProps) {
  const unit = useStore(stores.session, (s) => s.lengthUnit)
  const hatch = useId()
  const { scale } = map
  const plain = useMemo(() => rgbOf(theme.gelcoat), [theme])
  const colour = (value: number) => (map.colours ? cssAt(scale, value, plain) : theme.gelcoat)
  const histogram = useMemo(
    () => areaHistogram(map.values, facetNormalsOf(map.mesh).area_mm2, map.scale, (f) => map.classes[f] === FAILS),
    [map],
  )
  const axis_px = width - 2 * PAD
  const x = (value: number) => PAD + ((value - scale.from) / (scale.to - scale.from)) * axis_px
  const bars_px = BARS_PX[room.size]
  const top = room.size === 'large' ? 22 : 20
  const foot = top + bars_px
  // The open bins at the ends may hold most of the area; they are cut off so that the neighbourhood of the limit shows.
  const inner = histogram.bins.slice(scale.open === 'both' ? 1 : 0, -1)
  const largest = inner.reduce((most, b) => Math.max(most, b.area_mm2), 0) || histogram.largest_mm2 || 1
  const hatchTo = map.name === 'draft' ? 0 : map.name === 'filling' ? null : map.limit
  return (
    <>
      <svg className="legend-scale" width={width} height={foot + 26} aria-label={histogramText(map, unit)}>
        <defs>
          <pattern id={hatch} width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
            <line x1="0" y1="0" x2="0" y2="5" stroke={INK_ON_PART} strokeWidth="1.4" />
          </pattern>
        </defs>
        <g>
          {histogram.bins.map((bin) => {
            const h = Math.min(bin.area_mm2 / largest, 1) * bars_px
            const fails = Math.min(bin.fails_mm2 / largest, 1) * bars_px
            const w = x(bin.to) - x(bin.from)
            return h > 0.2 ? (
              <g key={bin.from}>
                <rect
                  className="bar"
                  x={x(bin.from)}
                  y={foot - h}
                  width={w}
                  height={h}
                  fill={colour((bin.from + bin.to) / 2)}
                />
                {fails > 0.2 && (
                  <rect x={x(bin.from)} y={foot - fails} width={w} height={fails} fill={`url(#${hatch})`} />
                )}
                {bin.area_mm2 > largest * 1.001 && (
                  <path
                    className="cut-off"
                    d={`M${x(bin.from) - 1} ${foot - h * 0.68}l${w / 2 + 1} -4l${w / 2 + 1} 4`}
                  />
                )}
              </g>
            ) : null
          })}
          <Strip scale={scale} x={x} y={foot} colour={colour} />
          {hatchTo !== null && map.ownLimit !== null && (
            <g>
              {['var(--gelcoat)', `url(#${hatch})`].map((fill) => (
                <rect
                  key={fill}
                  x={PAD}
                  y={foot}
                  width={Math.max(Math.min(x(hatchTo), width - PAD) - PAD, 0)}
                  height={8}
                  fill={fill}
                />
              ))}
            </g>
          )}
          <rect className="strip-line" x={PAD} y={foot} width={axis_px} height={8} />
          {scale.ticks.map((tick, i) => (
            <text
              key={tick}
              className="tick"
              x={x(tick)}
              y={foot + 22}
              textAnchor={i === 0 ? 'start' : i === scale.ticks.length - 1 ? 'end' : 'middle'}
            >
              {tickText(tick, i, map, unit)}
            </text>
          ))}
        </g>
        {map.name === 'filling' && (
          <FillingLead
            key={map.scale.colourTo}
            sheet={sheet}
            rig={rig}
            map={map}
            x={x}
            foot={foot}
            axis_px={axis_px}
            pad={PAD}
          />
        )}
        {map.limit !== null && map.ownLimit !== null && map.name !== 'unseen' && map.name !== 'filling' && (
          <LimitLead stores={stores} map={map} x={x} foot={foot} axis_px={axis_px} unit={unit} width={width} />
        )}
      </svg>
      {room.size === 'large' &&
        (map.name === 'moved' ? <MovedKeys stores={stores} map={map} unit={unit} /> : <Keys map={map} unit={unit} />)}
    </>
  )
}

/** The strip in small pieces of the scale's own function. */
function Strip({
  scale,
  x,
  y,
  colour,
}: {
  scale: MapScale
  x: (value: number) => number
  y: number
  colour: (value: number) => string
}) {
  const pieces = 88
  const step = (scale.to - scale.from) / pieces
  return Array.from({ length: pieces }, (_, i) => {
    const from = scale.from + i * step
    return (
      <rect
        key={from}
        x={x(from)}
        y={y}
        width={x(from + step) - x(from) + 0.5}
        height={8}
        fill={colour(from + step / 2)}
      />
    )
  })
}

interface LimitLeadProps {
  readonly stores: Stores
  readonly map: SheetMap
  readonly x: (value: number) => number
  readonly foot: number
  readonly axis_px: number
  readonly unit: ShownUnit
  readonly width: number
}

/** The limit: a red line with a lead on top. Dragged, it tries another limit; the job keeps its own. */
function LimitLead({ stores, map, x, foot, axis_px, unit, width }: LimitLeadProps) {
  const { scale, name } = map
  const limit = map.limit ?? 0
  const own = map.ownLimit ?? 0
  const at = Math.min(Math.max(x(limit), PAD), width - PAD)
  const wished = useRef<number | null>(null)
  const frame = useRef(0)
  const step = map.unit === 'deg' ? 0.1 : scale.bin / 5
  const set = (value: number | null) => {
    stores.session.setState((s) => {
      const { [name]: _, ...others } = s.limits
      return { limits: value === null || Math.abs(value - own) < step / 2 ? others : { ...others, [name]: value } }
    })
  }
  const tryAt = (value: number) => {
    wished.current = Math.round(Math.min(Math.max(value, scale.from), scale.to) / step) * step
    if (frame.current) return
    frame.current = requestAnimationFrame(() => {
      frame.current = 0
      if (wished.current !== null) set(wished.current)
    })
  }
  const asked = limit === own
  const value =
    map.unit === 'deg' ? angleText(limit, Number.isInteger(limit) ? 0 : 1) : settingFigure(round3(limit), unit).value
  const text = asked ? sheetWords.asked(value) : sheetWords.tried(value)
  const toLeft = at > width - PAD - 90
  return (
    <ScaleLead
      className="limit"
      label={sheetWords.limitHandle(sheetWords.maps[name])}
      text={text}
      from={scale.from}
      to={scale.to}
      now={limit}
      step={step}
      at={at}
      foot={foot}
      axis={{ left: PAD, width: axis_px, from: scale.from, to: scale.to }}
      toLeft={toLeft}
      onMove={tryAt}
      onKey={(key) => {
        if (key !== 'Escape' && key !== 'Home') return false
        set(null)
        return true
      }}
      onReset={() => set(null)}
    >
      {!asked && <line className="own" x1={x(own)} x2={x(own)} y1={foot - 8} y2={foot + 8} />}
    </ScaleLead>
  )
}

function MovedKeys({ stores, map, unit }: { stores: Stores; map: SheetMap; unit: ShownUnit }) {
  const look = useStore(stores.session, (s) => s.moved)
  if (map.on === 'frame' || !look?.parts) return null
  const { most_mm, p95_mm } = look.parts[map.on]
  const unseen = map.areas[3]
  return (
    <p className="legend-keys">
      <span title={sheetWords.movedWithin(lengthText(p95_mm, unit, 2, 'up'))}>
        {sheetWords.movedMost(look.name, lengthText(most_mm, unit, 2))}
      </span>
      <i className="key brown" /> {sheetWords.movedIn} <i className="key sky" /> {sheetWords.movedOut}
      {unseen > 0 && (
        <>
          <i className="key dashed" /> {sheetWords.movedNew(areaText(unseen, unit, 'up'))}
        </>
      )}
    </p>
  )
}

function Keys({ map, unit }: { map: SheetMap; unit: ShownUnit }) {
  const [, fails, notProven, unseen] = map.areas
  // What is amiss is never rounded away.
  const area = (mm2: number) => areaText(mm2, unit, 'up')
  if (map.name === 'mirror')
    return (
      <p className="legend-keys">
        <i className="key brown" /> {sheetWords.portLow} <i className="key sky" /> {sheetWords.portHigh}
      </p>
    )
  if (map.name === 'metal')
    return (
      <p className="legend-keys">
        <i className="key hatch" /> {sheetWords.metalFails(area(fails))}
      </p>
    )
  if (map.name === 'made')
    return (
      <p className="legend-keys">
        <i className="key hatch" /> {sheetWords.outOfZone(area(fails))}
      </p>
    )
  if (map.name === 'filling')
    return (
      <p className="legend-keys">
        <i className="key hatch" /> {fillingWords.late(trimmed(map.ownLimit ?? 0, 0), area(fails))}
      </p>
    )
  if (map.name === 'gap' || map.name === 'unseen')
    return (
      <p className="legend-keys">
        <i className="key hatch" /> {sheetWords.fails(area(fails))}
        <i className="key dots" /> {sheetWords.notProven(area(notProven))}
        <i className="key dashed" /> {sheetWords.unseen(area(unseen))}
      </p>
    )
  if (map.name === 'radius')
    return (
      <p className="legend-keys">
        <i className="key hatch" /> {sheetWords.tooSmall(area(fails))}
      </p>
    )
  const good = map.areas.reduce((a, b) => a + b, 0) - fails - map.low_mm2
  return (
    <p className="legend-keys">
      <i className="key hatch" /> {sheetWords.locked(area(fails))}
      {map.name === 'draft' && (
        <>
          <i className="key brown" /> {sheetWords.low(area(map.low_mm2))}
          <i className="key sky" /> {sheetWords.good(areaText(good, unit, 'down'))}
        </>
      )}
    </p>
  )
}

function tickText(tick: number, i: number, map: SheetMap, unit: ShownUnit): string {
  const last = i === map.scale.ticks.length - 1
  const open = last && map.scale.open !== 'both' ? ' +' : last ? ' +' : ''
  if (map.unit === 'deg') return `${trimmed(tick, 1)}°${open}`
  if (map.unit === 'min') return last ? `${trimmed(tick, 2)} min` : trimmed(tick, 2)
  const value = unit === 'mm' ? trimmed(tick, 2) : trimmed(tick / 25.4, 2)
  return last ? `${value} ${unit}${open}` : value
}

/** The histogram in words, for those who do not see it. */
function histogramText(map: SheetMap, unit: ShownUnit): string {
  const [plain, fails, notProven, unseen] = map.areas
  const parts = [`${sheetWords.maps[map.name]}, ${sheetWords.histogram}`]
  if (map.name === 'filling')
    return [...parts, fillingWords.late(trimmed(map.ownLimit ?? 0, 0), areaText(fails, unit, 'up'))].join('; ')
  if (map.limit !== null)
    parts.push(sheetWords.asked(map.unit === 'deg' ? angleText(map.limit) : lengthText(map.limit, unit)))
  parts.push(
    sheetWords.fails(areaText(fails, unit, 'up')),
    sheetWords.notProven(areaText(notProven, unit, 'up')),
    sheetWords.unseen(areaText(unseen, unit, 'up')),
    sheetWords.good(areaText(plain, unit, 'down')),
  )
  return parts.join('; ')
}

const round3 = (v: number): number => Math.round(v * 1000) / 1000

const rgbOf = (hex: string): readonly [number, number, number] => {
  const n = Number.parseInt(hex.slice(1), 16)
  return [n >> 16, (n >> 8) & 255, n & 255]
}

function areaText(mm2: number, unit: ShownUnit, round: 'up' | 'down'): string {
  const { value, unit: of } = areaFigure(mm2, unit, { round })
  return `${value} ${of}`
}
