/** Pieces laid flat: drawn where they lie flat near enough, and by how much each must give. */
import type { BuildResult, FlatPlan } from '../../core/build-plan/types'
import { lengthText, type ShownUnit } from '../../state/format'
import { Rows } from '../figures/rows'
import { flatWords as words } from '../words'

const WIDTH = 272

export function Flats({ made, unit }: { made: BuildResult; unit: ShownUnit }) {
  if (made.flats.length === 0) return null
  const most = Math.max(...made.flats.map((f) => f.size_mm[0]), 1)
  return (
    <section className="slip-part" data-testid="build-flats">
      <h3>{words.head}</h3>
      {(['underside', 'topside'] as const).map((shell) => {
        const mine = made.flats.filter((f) => f.shell === shell)
        return (
          mine.length > 0 && (
            <section key={shell} aria-label={words.of(shell)}>
              <h4>{words.of(shell)}</h4>
              <Rows
                testId={`build-flats-${shell}`}
                rows={mine.map((f) => [f.name, words.gives((100 * f.strain95).toFixed(1), f.flat)])}
              />
              {mine
                .filter((f) => f.flat)
                .map((f) => (
                  <Outline key={f.name} flat={f} scale={WIDTH / most} unit={unit} />
                ))}
            </section>
          )
        )
      })}
      <Rows testId="build-rolls" rows={made.rolls.map((r) => [r.what, words.roll(r.length_m.toFixed(1))] as const)} />
      <p className="field-hint">{words.hint}</p>
    </section>
  )
}

function Outline({ flat, scale, unit }: { flat: FlatPlan; scale: number; unit: ShownUnit }) {
  const [u, v] = flat.size_mm
  const path = flat.outline
    .map((loop) => `M${loop.map(([x, y]) => `${(x * scale).toFixed(1)} ${((v - y) * scale).toFixed(1)}`).join('L')}Z`)
    .join('')
  return (
    <svg
      viewBox={`-2 -2 ${WIDTH + 4} ${v * scale + 22}`}
      role="img"
      aria-label={`${flat.name}, ${lengthText(u, unit, 0)} × ${lengthText(v, unit, 0)}`}
    >
      <path d={path} fill="var(--pine)" fillRule="evenodd" stroke="var(--ink)" strokeWidth="0.8" />
      <text x="0" y={v * scale + 16} fontSize="14" fill="var(--ink2)">
        {flat.name}, {lengthText(u, unit, 0)} × {lengthText(v, unit, 0)}
      </text>
    </svg>
  )
}
