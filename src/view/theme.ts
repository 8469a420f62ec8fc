/** The tokens of the page as numbers, for what is drawn by the GPU; CSS has the same as custom properties. */
import { useSyncExternalStore } from 'react'

export interface Theme {
  readonly dark: boolean
  readonly paper: string
  readonly slip: string
  readonly ink: string
  readonly ink2: string
  readonly rule: string
  readonly blue: string
  readonly lead: string
  readonly gelcoat: string
  readonly metal: string
  /** Light of the sky and of the floor. */
  readonly sky: string
  readonly bounce: string
  readonly skyStrength: number
  readonly gridFine: number
  readonly gridCoarse: number
}

const LIGHT: Theme = {
  dark: false,
  paper: '#F4EFE4',
  slip: '#FBF8F1',
  ink: '#1E2428',
  ink2: '#565B5C',
  rule: '#CFC8B9',
  blue: '#1B5A94',
  lead: '#B0381A',
  gelcoat: '#E9E6DD',
  metal: '#8D989F',
  sky: '#FFFFFF',
  bounce: '#CDBFA4',
  skyStrength: 1.5,
  gridFine: 0.1,
  gridCoarse: 0.22,
}

const DARK: Theme = {
  dark: true,
  paper: '#1F272C',
  slip: '#283138',
  ink: '#ECE8DD',
  ink2: '#A7B0B2',
  rule: '#414D55',
  blue: '#8FC3F0',
  lead: '#FF8F6B',
  gelcoat: '#D9D8D2',
  metal: '#87939B',
  sky: '#EEF3F6',
  bounce: '#4A545B',
  skyStrength: 1.45,
  gridFine: 0.075,
  gridCoarse: 0.17,
}

/** Lines that lie on a part are dark in both themes. */
export const INK_ON_PART = '#1E2428'
/** Bodies of fittings. */
export const SLATE = '#59646C'

const prefersDark = () => window.matchMedia('(prefers-color-scheme: dark)')

export function useTheme(): Theme {
  const dark = useSyncExternalStore(
    (changed) => {
      const query = prefersDark()
      query.addEventListener('change', changed)
      return () => query.removeEventListener('change', changed)
    },
    () => prefersDark().matches,
  )
  return dark ? DARK : LIGHT
}

export const reducedMotion = (): boolean => window.matchMedia('(prefers-reduced-motion: reduce)').matches
