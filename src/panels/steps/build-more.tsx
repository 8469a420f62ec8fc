/** The rest of the build's slip: zones with more plies, spans, cure clock. */
import { useStore } from 'zustand'
import { CORES } from '../../core/build-plan/materials'
import type { BuildResult, BuildSettings, CureEvent, PlyZone } from '../../core/build-plan/types'
import { setBuild, tryEdit } from '../../state/edit'
import { areaText, lengthText, massText, type ShownUnit } from '../../state/format'
import type { PanelProps } from '../actions'
import { ChoiceField, TextField } from '../fields/choice-field'
import { LinkRow } from '../fields/link-row'
import { MeasureField } from '../fields/measure-field'
import { Rows } from '../figures/rows'
import { buildMoreWords as words } from '../words'
import { PlyFields } from './ply-fields'

const PLAIN_BOX = { min: [-200, -200, -2000], max: [200, 200, 4000] } as const

type Set = (change: Partial<BuildSettings>) => string | null

export function Zones({
  stores,
  unit,
  made,
}: {
  stores: PanelProps['stores']
  unit: ShownUnit
  made: BuildResult | null
}) {
  const { zones } = useStore(stores.jobs, (s) => s.history.job.build)
  const shell = useStore(stores.session, (s) => s.fillingShell)
  const set: Set = (change) => tryEdit(stores.jobs, setBuild(change))
  const put = (zone: PlyZone, change: Partial<PlyZone>) =>
    set({ zones: zones.map((z) => (z === zone ? { ...z, ...change } : z)) })
  const add = (kind: PlyZone['kind']) => {
    const taken = zones.filter((z) => z.kind === kind).length
    set({
      zones: [
        ...zones,
        {
          name: taken > 0 ? `${words.kinds[kind]} ${taken + 1}` : words.kinds[kind],
          shell,
          kind,
          margin_mm: 60,
          ...PLAIN_BOX,
          plies: [{ fabric: 'biaxial-800', layers: 2 }],
          insert: null,
        },
      ],
    })
  }
  const figures = made?.shells.find((s) => s.name === shell)?.zones ?? []
  const mine = zones.filter((z) => z.shell === shell)
  return (
    <section className="slip-part" data-testid="build-zones">
      <h3>
        {words.zones}, {shell}
      </h3>
      {mine.length === 0 && <p className="field-hint">{words.none}</p>}
      {mine.map((zone, i) => (
        <ZoneFields
          key={zone.name}
          zone={zone}
          unit={unit}
          made={figures[i]}
          onChange={(change) => put(zone, change)}
          onRemove={() => set({ zones: zones.filter((z) => z !== zone) })}
        />
      ))}
      <p className="links">
        <span className="field-hint">{words.add}</span>
        {(Object.keys(words.kinds) as PlyZone['kind'][]).map((kind) => (
          <button key={kind} type="button" className="link" data-testid={`zone-${kind}`} onClick={() => add(kind)}>
            {words.kinds[kind]}
          </button>
        ))}
      </p>
    </section>
  )
}

function ZoneFields(props: {
  zone: PlyZone
  unit: ShownUnit
  made: BuildResult['shells'][number]['zones'][number] | undefined
  onChange: (change: Partial<PlyZone>) => string | null
  onRemove: () => void
}) {
  const { zone, unit, made, onChange } = props
  const [ply] = zone.plies
  const testId = `zone-${zone.name}`.replaceAll(' ', '-')
  if (!ply) return null
  const plies = (change: Partial<typeof ply>) => onChange({ plies: [{ ...ply, ...change }, ...zone.plies.slice(1)] })
  return (
    <section aria-label={zone.name}>
      <Rows
        testId={`zone-figures-${zone.kind}`}
        rows={[
          [zone.name, made ? areaText(made.area_m2 * 1e6, unit) : ''],
          ...(made
            ? ([
                [words.laminate, lengthText(made.thickness_mm, unit)],
                [words.adds, massText(made.mass_kg, unit)],
              ] as const)
            : []),
        ]}
      />
      <PlyFields ply={ply} unit={unit} testId={testId} onChange={plies} />
      {zone.kind === 'fittings' && (
        <MeasureField
          label={words.margin}
          value={zone.margin_mm}
          kind="length"
          unit={unit}
          small
          testId={`${testId}-margin`}
          onApply={(v) => onChange({ margin_mm: v ?? zone.margin_mm })}
        />
      )}
      {zone.kind === 'box' &&
        words.corners.map((name, i) => {
          const end = i % 2 === 0 ? 'min' : 'max'
          const axis = Math.floor(i / 2)
          return (
            <MeasureField
              key={name}
              label={name}
              value={zone[end][axis]!}
              kind="length"
              unit={unit}
              small
              testId={`zone-${name}`}
              onApply={(v) => {
                const [x, y, z] = zone[end].map((old, k) => (k === axis ? (v ?? old) : old))
                return onChange({ [end]: [x!, y!, z!] })
              }}
            />
          )
        })}
      <ChoiceField
        label={words.insert}
        value={zone.insert ?? ''}
        choices={[['', words.core] as const, ...CORES.map((c) => [c.id, c.name] as const)]}
        testId={`${testId}-insert`}
        onApply={(id) => onChange({ insert: id === '' ? null : id })}
      />
      <LinkRow onClick={props.onRemove}>{words.remove}</LinkRow>
    </section>
  )
}

export function Spans({ made, unit }: { made: BuildResult; unit: ShownUnit }) {
  if (made.panels.length === 0) return null
  return (
    <section className="slip-part">
      <h3>{words.spans}</h3>
      <Rows
        testId="build-spans"
        rows={made.panels.map((p) => [
          `${p.shell}, ${words.over(lengthText(p.span_mm, unit, 0))}`,
          p.small ? lengthText(p.deflection_mm, unit) : words.beyond,
        ])}
      />
      <p className="caution">{words.spanCaution}</p>
    </section>
  )
}

export function Cure({ stores, made }: { stores: PanelProps['stores']; made: BuildResult | null }) {
  const { start } = useStore(stores.jobs, (s) => s.history.job.build)
  return (
    <section className="slip-part" data-testid="build-cure">
      <h3>{words.cure}</h3>
      <TextField
        label={words.start}
        value={start}
        hint={words.startHint}
        most={16}
        testId="build-start"
        onApply={(typed) => {
          if (tryEdit(stores.jobs, setBuild({ start: typed.trim().replace(' ', 'T') })) !== null)
            stores.session.setState({ notice: { kind: 'refused', text: words.startRefused } })
        }}
      />
      {made && <CureLine events={made.cure} />}
      <p className="caution">{words.cureCaution}</p>
    </section>
  )
}

const hoursText = (v: number): string => (v < 10 ? v.toFixed(1) : v.toFixed(0))
const WIDTH = 272
const ROW = 38

/** A band for each event on a line of hours; its start, or its clock, stands under its name. Square-root scale: hours and weeks in one. */
function CureLine({ events }: { events: readonly CureEvent[] }) {
  const most = Math.max(...events.map((e) => e.to_h), 1)
  const x = (h: number) => WIDTH * Math.sqrt(Math.max(h, 0) / most)
  const height = events.length * ROW + 22
  const ticks = [1, 4, 12, 24, 72, 168, 336].filter((h) => h < most)
  return (
    <svg viewBox={`0 0 ${WIDTH} ${height}`} role="img" aria-label={words.cure}>
      {ticks.map((h) => (
        <g key={h}>
          <line x1={x(h)} x2={x(h)} y1="0" y2={height - 18} stroke="var(--rule)" strokeWidth="0.6" />
          <text x={x(h)} y={height - 4} fontSize="13" textAnchor="middle" fill="var(--ink2)">
            {h}
          </text>
        </g>
      ))}
      {events.map((e, i) => (
        <g key={e.name}>
          <text x="0" y={i * ROW + 13} fontSize="14" fill="var(--ink)">
            {e.name}
            <tspan fontSize="13" fill="var(--ink2)">
              {'  '}
              {e.clock
                ? `${e.clock[0].slice(5)} – ${e.clock[1].slice(5)}`
                : words.hours(hoursText(e.from_h), hoursText(e.to_h))}
            </tspan>
          </text>
          <rect
            x={x(e.from_h)}
            y={i * ROW + 19}
            width={Math.max(x(e.to_h) - x(e.from_h), 2)}
            height="9"
            fill="var(--pine)"
            stroke="var(--ink)"
            strokeWidth="0.8"
          />
        </g>
      ))}
    </svg>
  )
}
