/**
 * Materials by generic kind. Values are starting points for a plan, each with where it comes from; a shop puts its own data
 * sheets in their place. Nothing here is a design allowable.
 */

export interface Fabric {
  readonly id: string
  readonly name: string
  /** Dry fibre, g/m². */
  readonly areal_gm2: number
  /** Fibre mass fraction reached by hand and by infusion. */
  readonly massFraction: { readonly hand: number; readonly infusion: number }
  /** In-plane permeability along and across at infusion's fibre fraction, m²: low, likely, high. */
  readonly along_m2: readonly [number, number, number]
  readonly across_m2: readonly [number, number, number]
  readonly source: string
}

export interface Resin {
  readonly id: string
  readonly name: string
  readonly density_gcm3: number
  /** Of the mix at 20 °C, Pa s. */
  readonly viscosity_Pas: number
  /** Gel time of the mix at 25 °C, min. */
  readonly gel_min: number
  readonly hardener: number
  readonly source: string
}

export interface Core {
  readonly id: string
  readonly name: string
  readonly density_kgm3: number
  /** Resin taken up by cuts and surface, kg/m². */
  readonly uptake_kgm2: number
  /** In the plane of the core, MPa. */
  readonly shear_MPa: number
  readonly source: string
}

const CP = 'common practice, no source'
/** Spread of permeability is about ten times that of fibre fraction (Bodaghi, Yasaei, Correia, arXiv 1601.02681): a triple, never one number. */
const triple = (likely: number): readonly [number, number, number] => [likely / 2, likely, likely * 2]

export const GLASS_GCM3 = 2.56
/** Moduli of glass and resin, GPa, for orientation (Jones, Mechanics of Composite Materials, as remembered). */
export const GLASS_GPA = 72
export const RESIN_GPA = 3.4

export const FABRICS: readonly Fabric[] = [
  {
    id: 'mat-300',
    name: 'chopped strand mat 300',
    areal_gm2: 300,
    massFraction: { hand: 0.3, infusion: 0.45 },
    along_m2: triple(6e-10),
    across_m2: triple(6e-10),
    source: CP,
  },
  {
    id: 'mat-450',
    name: 'chopped strand mat 450',
    areal_gm2: 450,
    massFraction: { hand: 0.3, infusion: 0.45 },
    along_m2: triple(6e-10),
    across_m2: triple(6e-10),
    source: CP,
  },
  {
    id: 'woven-600',
    name: 'woven roving 600',
    areal_gm2: 600,
    massFraction: { hand: 0.45, infusion: 0.6 },
    along_m2: triple(2e-10),
    across_m2: triple(2e-10),
    source: CP,
  },
  {
    id: 'biaxial-600',
    name: 'stitched ±45° 600',
    areal_gm2: 600,
    massFraction: { hand: 0.48, infusion: 0.65 },
    along_m2: triple(2e-10),
    across_m2: triple(1.5e-10),
    source: CP,
  },
  {
    id: 'biaxial-800',
    name: 'stitched 0/90° 800',
    areal_gm2: 800,
    massFraction: { hand: 0.48, infusion: 0.65 },
    along_m2: triple(2e-10),
    across_m2: triple(1.5e-10),
    source: CP,
  },
]

export const RESINS: readonly Resin[] = [
  {
    id: 'polyester',
    name: 'polyester',
    density_gcm3: 1.2,
    viscosity_Pas: 0.3,
    gel_min: 35,
    hardener: 0.02,
    source: `density: laminate check values; the rest ${CP}`,
  },
  {
    id: 'vinylester',
    name: 'vinyl ester',
    density_gcm3: 1.15,
    viscosity_Pas: 0.25,
    gel_min: 45,
    hardener: 0.015,
    source: CP,
  },
  {
    id: 'epoxy',
    name: 'infusion epoxy',
    density_gcm3: 1.12,
    viscosity_Pas: 0.25,
    gel_min: 120,
    hardener: 0.3,
    source: CP,
  },
]

export const CORES: readonly Core[] = [
  { id: 'foam-80', name: 'closed-cell foam 80 kg/m³', density_kgm3: 80, uptake_kgm2: 0.6, shear_MPa: 25, source: CP },
  {
    id: 'foam-130',
    name: 'closed-cell foam 130 kg/m³',
    density_kgm3: 130,
    uptake_kgm2: 0.6,
    shear_MPa: 45,
    source: CP,
  },
  {
    id: 'balsa-150',
    name: 'end-grain balsa 150 kg/m³',
    density_kgm3: 150,
    uptake_kgm2: 0.9,
    shear_MPa: 150,
    source: CP,
  },
  {
    id: 'board-600',
    name: 'dense insert board 600 kg/m³',
    density_kgm3: 600,
    uptake_kgm2: 0.3,
    shear_MPa: 250,
    source: CP,
  },
]

/** Gelcoat, kg/m³ wet; 0.4–0.8 mm is asked for, below 0.3 it wrinkles, above 0.9 it cracks (trade pages; see the check values T01–T03). */
export const GELCOAT_GCM3 = 1.25
/** Filled bonding paste and putty. */
export const PASTE_GCM3 = 1.1
/** Flow medium laid over the plies for infusion: permeability and thickness (sanity band of the check values, I13). */
export const FLOW_MEDIUM = { permeability_m2: 4e-9, thickness_mm: 1, porosity: 0.85 }
