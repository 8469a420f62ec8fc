import { WORDS } from './infusion-plan'
import { resinOf } from './shell-plan'
import type { BondPlan, BuildSettings, InfusionPlan, ShellPlan, TravellerLine } from './types'

const RESIN_CAUTION =
  'Ventilate, gloves, eye protection, no sparks; peroxide and accelerator never touch each other neat; small batches, mixed resin heats up by itself.'
const DUST_CAUTION = 'Extraction at the tool, respirator, eye protection.'
const LIFT_CAUTION = 'A hoist or a team with a plan; nobody stands under it.'

/** The ordered checklist with the numbers of this job. */
export function traveller(
  shells: readonly ShellPlan[],
  infusion: readonly InfusionPlan[],
  bond: BondPlan | null,
  mass_kg: number,
  settings: BuildSettings,
): TravellerLine[] {
  const lines: TravellerLine[] = []
  const resin = resinOf(settings.resin)
  for (const shell of shells) {
    const area = shell.area_m2.reduce((a, b) => a + b, 0)
    const resin_kg = shell.lines.reduce((s, l) => s + l.resin_kg, 0)
    lines.push({
      stage: shell.name,
      text: `Gelcoat ${n(settings.gelcoat_mm, 2)} mm over ${n(area, 2)} m²: ${n(shell.gelcoat_kg, 1)} kg, checked wet with a comb.`,
      from: 'area of the moulded face × thickness × 1.25 kg/dm³; common practice 0.4–0.8 mm',
      caution: RESIN_CAUTION,
    })
    for (const line of shell.lines)
      lines.push({
        stage: shell.name,
        text: `${line.layers} × ${line.what}: ${n(line.area_m2, 2)} m², ${n(line.glass_kg, 1)} kg dry.`,
        from: 'area of the moulded face × layers',
      })
    lines.push({
      stage: shell.name,
      text: `${settings.process === 'infusion' ? 'Infuse' : 'Laminate'} with ${n(resin_kg, 1)} kg ${resin.name}, ${n(1000 * resin.hardener * resin_kg, 0)} g hardener; laminate ${n(shell.thickness_mm, 1)} mm, fibre ${n(100 * shell.vf, 0)} % by volume.`,
      from: 'resin = W (1/w − 1) ply by ply; thickness = W / (ρf Vf)',
      caution: RESIN_CAUTION,
    })
    const filling = infusion.find((i) => i.name === shell.name)
    if (filling) {
      const [quick, likely, slow] = filling.fill_min
      lines.push({
        stage: shell.name,
        text: `Feed from ${WORDS[filling.inlet]}; the resin is through in ${n(likely, 0)} min (${n(quick, 0)} to ${n(slow, 0)}), gel at ${n(filling.gel_min, 0)} min. Leak test the bag first.`,
        from: 'Darcy flow on the shell; permeability low, likely, high; gel time halves per 10 °C',
      })
    }
  }
  if (bond) {
    lines.push(
      {
        stage: 'joint',
        text: `Dry-fit the two shells: gap ${n(bond.gap_mm.min, 1)} to ${n(bond.gap_mm.max, 1)} mm, ${n(bond.gap_mm.mean, 1)} in the mean, over ${n(bond.area_m2, 2)} m².`,
        from: 'distance between the raw faces of both solids',
      },
      {
        stage: 'joint',
        text: `Lay ${n(bond.paste_l, 2)} l of paste (${n(bond.paste_kg, 1)} kg) as a bead with legs of ${n(bond.beadLeg_mm, 0)} mm along ${n(bond.length_m, 1)} m; ${n(bond.work_min, 0)} min of working time at ${n(settings.shop_C, 0)} °C, close within 0.7 of it.`,
        from: 'gap × area with 10 % over; working time halves per 10 °C',
        caution: RESIN_CAUTION,
      },
      {
        stage: 'joint',
        text: `Weigh down with ${bond.bags} bags of ${n(settings.bag_kg, 0)} kg on spreader boards until it has cured.`,
        from: `${n(settings.clamp_Pa / 1000, 1)} kPa × bonded area / g, if all of the load reaches the joint`,
        caution: LIFT_CAUTION,
      },
    )
    if (bond.putty_l > 0.01)
      lines.push({
        stage: 'joint',
        text: `Fill ${n(bond.putty_l, 2)} l of gaps over 5 mm with putty, in layers.`,
        from: 'gap × area where the gap is 5 to 12 mm',
        caution: 'Thick putty heats up by itself and can catch fire: thin layers.',
      })
  }
  lines.push(
    {
      stage: 'trim',
      text: 'Trim to the line and drill by the templates.',
      from: 'trim line of the shells',
      caution: DUST_CAUTION,
    },
    {
      stage: 'fit',
      text: `Lift ${n(mass_kg, 0)} kg on to the frame and dry-fit before bedding.`,
      from: 'mass of shells, paste and weighed fittings',
      caution: LIFT_CAUTION,
    },
  )
  return lines
}

const n = (value: number, digits: number): string => value.toFixed(digits)
